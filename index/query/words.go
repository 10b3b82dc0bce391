package query

import "tankroll/record"

// Question words, beside the trade words of the lexicon.

// numerals are numbers as words.
var numerals = map[string]int{
	"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10,
	"eleven": 11, "twelve": 12, "dozen": 12, "couple": 2, "few": 3,
}

var ordinals = map[string]int{"first": 1, "1st": 1, "second": 2, "2nd": 2, "third": 3, "3rd": 3, "fourth": 4, "4th": 4}

// superlatives ask for an end of the time line.
var superlatives = map[string]string{
	"last": Latest, "latest": Latest, "newest": Latest, "recent": Latest, "current": Latest, "lately": Latest, "recently": Latest,
	"first": First, "earliest": First, "oldest": First,
}

// everything asks for all.
var everything = set("all", "every", "each", "any", "list")

// singular words make one the answer's size.
var kindPhrases = map[string]record.Kind{
	"tank tests": record.TankTest, "line tests": record.LineTest, "line summaries": record.LineSummary,
	"sensor statuses": record.SensorStatus, "alarm": record.Alarm, "alarms": record.Alarm,
	"inventory reports": record.Inventory, "inventories": record.Inventory, "delivered": record.Delivery,
	"tank limits reports": record.TankLimits, "reconciliations": record.Reconciliation, "sensor reports": record.SensorStatus,
	"alarm setting": record.TankLimits, "alarm limit": record.TankLimits, "alarm point": record.TankLimits, "alarm level": record.TankLimits, "set point": record.TankLimits, "setpoint": record.TankLimits,
	"inventory levels": record.Inventory, "reconciled": record.Reconciliation, "line summary reports": record.LineSummary,
}

// notKinds are spellings that are titles on paper but not kinds in a question.
var notKinds = set("sensor", "sensors", "load", "drop", "drops", "settings", "setup", "variance", "receipts", "events",
	"last delivery", "latest delivery", "last alarms", "recent alarms", "line record", "line check", "new alarm", "line results")

// testPhrases are tests of no particular device; the value is the class they
// name, if any. Class names are from 40 CFR 280.43 and 280.44: monthly
// monitoring 0.2, tightness 0.1, hourly 3.0 gal/h.
var testPhrases = map[string]string{
	"test": "", "tests": "", "testing": "", "tested": "", "leak test": "", "leak tests": "", "leak check": "", "leak testing": "",
	"leak detection test": "", "leak detection tests": "", "release detection test": "", "release detection tests": "",
	"monitoring": "", "monthly monitoring": "0.2", "leak monitoring": "", "release detection monitoring": "", "leak detection": "", "release detection": "", "integrity test": "", "integrity tests": "",
	"tightness test": "0.1", "tightness tests": "0.1", "precision test": "0.1", "precision tests": "0.1",
	"monthly test": "0.2", "monthly tests": "0.2", "annual test": "0.1", "annual tests": "0.1", "yearly test": "0.1",
	"hourly test": "3.0", "hourly tests": "3.0", "monthly leak test": "0.2", "annual leak test": "0.1", "monthly leak tests": "0.2",
	"annual leak tests": "0.1", "hourly leak test": "3.0", "hourly leak tests": "3.0", "0.2 test": "0.2", "0.1 test": "0.1", "3.0 test": "3.0",
}

// classWords name a test class inside a longer phrase.
var classWords = map[string]string{"monthly": "0.2", "annual": "0.1", "yearly": "0.1", "hourly": "3.0", "tightness": "0.1", "precision": "0.1"}

// devices are the words for equipment.
var devices = map[string]string{
	"tank": "tank", "tanks": "tank", "tk": "tank", "tnk": "tank", "ust": "tank", "usts": "tank",
	"line": "line", "lines": "line", "ln": "line", "piping": "line", "pipe": "line", "pipes": "line",
	"sensor": "sensor", "sensors": "sensor", "snsr": "sensor",
}

// methodWords name the method of a tank test.
var methodWords = map[string]string{"citld": "continuous", "continuous": "continuous", "static": "static", "in-tank static": "static", "continuous in-tank": "continuous"}

var siteWords = set("site", "sites", "store", "station", "location", "shop", "facility", "branch", "stores", "stations", "locations", "shops", "facilities", "branches")

// numberSigns may stand between a device or site and its number.
var numberSigns = set("no", "no.", "nr", "num", "number", "#")

// commonWords are grades or results on paper but say nothing in a question.
var commonWords = set("pls", "open", "right", "correct", "normal", "gas", "fuel", "pre", "good", "ok", "leak", "leaking", "within", "outside", "unknown", "investigate",
	"excessive", "incomplete", "no data", "oil", "load", "not known", "in limits", "ended early", "new oil", "no result", "acceptable",
	"water tank", "not determined", "uncertain", "no verdict", "in tolerance", "exceeds", "within limits")

// loose are grade words that name a grade only by custom.
var loose = map[string]string{"gasoline": "regular", "petrol": "regular", "unleaded": "regular", "plus": "midgrade", "super": "premium"}

// filler are words that carry no meaning of their own in a question. Words that
// turn a meaning round (not, without, except) must never be here.
var filler = set("a", "an", "the", "is", "are", "was", "were", "be", "been", "am", "did", "do", "does", "done", "has", "have", "had",
	"show", "me", "give", "list", "find", "get", "got", "tell", "see", "want", "need", "please", "what", "when", "where", "which", "who", "whats",
	"of", "on", "in", "for", "to", "at", "from", "by", "with", "and", "or", "our", "my", "we", "i", "us", "it", "its", "this", "that", "these",
	"those", "there", "can", "you", "could", "would", "should", "up", "report", "reports", "record", "records", "printout", "printouts",
	"print", "prints", "slip", "slips", "tape", "tapes", "paper", "copy", "copies", "original", "result", "results", "reading", "readings", "data",
	"time", "date", "ever", "so", "far", "then", "as", "how", "come", "came", "run", "ran", "happened", "happen", "taken", "made", "look", "looking",
	"pull", "entry", "entries", "history", "most", "product", "grade", "fuel", "gal/h", "gph", "gallon", "gallons", "per", "hour", "latest", "also",
	"during", "within", "over", "any", "completed", "conducted", "performed", "received", "printed", "seen", "gotten", "weve", "youve", "them", "vs", "versus", "anybody", "anyone", "anything", "looked", "hold", "held", "kept", "whether", "put", "underground", "storage", "about", "level", "levels",
	"whens", "wheres", "hows", "whos", "reporting", "reported", "wonder", "wondering", "might", "able", "furnish", "provide", "send", "anywhere", "hello", "hi", "hey", "thanks", "thank", "kindly", "across", "sometime", "recorded", "among", "according", "amongst", "sent", "news", "single")

// small are words of the closed classes and the like: pronouns, auxiliaries, small
// adverbs and conjunctions, greetings, and verbs of asking, knowing and wanting.
var small = set("he", "she", "they", "him", "her", "his", "their", "theirs", "mine", "ours", "yours", "your", "yall", "em", "ya", "u", "ur", "im", "ive", "id", "ill", "youre", "theyre", "were", "wed", "theyve", "hes", "shes", "lets",
	"just", "quite", "rather", "pretty", "really", "actually", "basically", "simply", "exactly", "maybe", "perhaps", "probably", "again", "back", "already", "yet", "soon", "here", "well", "oh", "um", "uh", "hmm", "yo", "ok", "okay", "so", "too",
	"while", "because", "though", "although", "if", "whether", "however", "anyhow", "anyway", "somehow", "somewhere", "something", "someone", "somebody", "everybody", "everyone", "everything", "thing", "things", "stuff", "bit", "lot", "lots", "kind", "sort", "way", "ways", "case", "cases", "part", "side",
	"know", "knows", "think", "thought", "remember", "recall", "believe", "guess", "suppose", "hear", "heard", "say", "says", "said", "saying", "ask", "asked", "asking", "asks", "understand", "explain", "describe", "mention", "check", "checking", "help", "try", "trying", "let", "letting",
	"bring", "dig", "dug", "grab", "fetch", "search", "searching", "name", "names", "identify", "locate", "retrieve", "produce", "supply", "display", "view", "review", "forward", "email", "pointing", "go", "going", "gonna", "wanna", "gotta", "needed", "needs", "wanted", "wants", "love", "hoping", "hope", "trust", "curious", "interested",
	"info", "information", "rundown", "roundup", "lowdown", "scoop", "batch", "collection", "person", "people", "human", "calendar", "indicate", "indicating", "indicates", "indicated", "gentlemen", "pursuant", "audit", "read", "reads", "anytime", "getting", "proof", "evidence", "needing", "fill", "submit", "specify", "advise", "disclose", "clarify", "compare", "examine", "note", "compile", "prepare", "tabulate", "generate", "export", "download", "year", "detail", "details", "answer", "question", "figure", "figures", "numbers", "list", "listing", "lists", "documentation", "document", "documents", "paperwork", "sheet", "sheets", "file", "files", "folder", "page", "photo", "photos", "picture", "pictures", "scan", "scans", "ticket", "tickets",
	"boss", "guys", "folks", "team", "buddy", "sir", "maam", "dear", "friend", "inspector", "auditor", "epa", "insurance", "office", "headquarters", "hq", "corporate",
	"will", "shall", "must", "may", "being", "having", "doing", "goes", "went", "gone", "makes", "making", "takes", "took", "gives", "gave", "given", "shows", "showing", "showed", "shown", "tells", "told", "finds", "found", "sees", "saw", "uses", "used", "using", "turn", "turned", "turns", "keep", "keeps", "kept", "stay", "stayed",
	"day", "dates", "days", "times", "moment", "specific", "particular", "various", "entire", "whole", "own", "such", "along", "around", "through", "into", "onto", "toward", "upon", "via", "regarding", "concerning", "re", "asap", "fyi", "thx", "ty", "tks", "plz", "pls", "please", "sorry", "fine", "great", "cool", "alright", "right", "correct", "yep", "yeah", "box", "console", "gauge", "monitor", "machine", "panel", "atg", "system", "business", "company", "chain")

// fillerPhrases are filler that a single one of their words would not be.
var fillerPhrases = set("right now", "id like", "would like", "came out", "come out", "comes out", "turned out", "in the ground", "good morning", "good afternoon")

// wentOff says of a sensor or a place that it raised an alarm.
var wentOff = set("went off", "go off", "goes off", "going off", "gone off")

// turners change what the words after them mean; a question with one that was
// not understood must say so.
var turners = set("not", "no", "non", "without", "except", "excluding", "but", "never", "neither", "nor", "other", "than", "isnt", "didnt", "doesnt",
	"hasnt", "havent", "wasnt", "unless", "only")

// helpers may stand before "not".
var helpers = set("do", "did", "does", "has", "have", "had", "was", "were", "is", "are", "could", "would")

func set(words ...string) map[string]bool {
	m := make(map[string]bool, len(words))
	for _, w := range words {
		m[w] = true
	}
	return m
}
