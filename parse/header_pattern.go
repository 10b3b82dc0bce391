package parse

import (
	"regexp"
	"strings"
	"unicode/utf8"
)

// pattern is a regular expression with a quick test before it.
type pattern struct {
	needs  string // one of these characters stands in every text that it matches
	expr   *regexp.Regexp
	starts string // and such a text begins with one of these, "" for any
	ends   int    // and has a figure among its last so many characters, 0 for anywhere
}

// matches reports whether the pattern is found in the text.
func (p pattern) matches(text string) bool {
	if p.starts != "" && (text == "" || text[0] < utf8.RuneSelf && strings.IndexByte(p.starts, text[0]) < 0) {
		return false
	}
	if p.ends > 0 && !endsInFigure(text, p.ends) {
		return false
	}
	return strings.ContainsAny(text, p.needs) && p.expr.MatchString(text)
}

// endsInFigure reports whether a figure is among the last characters of a text, or one that is
// not of ASCII, which may be two of them in another case.
func endsInFigure(text string, last int) bool {
	for i := max(0, len(text)-last); i < len(text); i++ {
		if c := text[i]; c >= '0' && c <= '9' || c >= utf8.RuneSelf {
			return true
		}
	}
	return false
}

// beginnings is a set of the first three characters of words, to tell fast of most texts
// that none of them stands there.
type beginnings [1 << 15 / 64]uint64

// beginningsOf are those of words of three characters and more, parted by bars.
func beginningsOf(words string) *beginnings {
	b := &beginnings{}
	for _, w := range strings.Split(words, "|") {
		place := letterPlace(w[0])<<10 | letterPlace(w[1])<<5 | letterPlace(w[2])
		b[place/64] |= 1 << (place % 64)
	}
	return b
}

// letterPlace is the place of a character among 32: a letter's own, or one for several marks
// and figures.
func letterPlace(c byte) uint {
	switch {
	case c >= 'a' && c <= 'z':
		return uint(c - 'a')
	case c >= 'A' && c <= 'Z':
		return uint(c - 'A')
	case c == '.':
		return 26
	case c == '-':
		return 27
	case c == ' ' || c >= '\t' && c <= '\r':
		return 28
	}
	return 29
}

// in reports whether one of the words may stand in a text, in any case of its letters; a
// text with other letters than ASCII may hold any.
func (b *beginnings) in(text string) bool {
	place := uint(0)
	for i := 0; i < len(text); i++ {
		c := text[i]
		if c >= utf8.RuneSelf {
			return true
		}
		place = (place<<5 | letterPlace(c)) & (1<<15 - 1)
		if i >= 2 && b[place/64]&(1<<(place%64)) != 0 {
			return true
		}
	}
	return false
}

const figures = "0123456789"

// What addresses are told by.
var (
	// A word for a way of other tongues: as the end of a word, before the way's name, behind it.
	wayAbroad = pattern{needs: letters, expr: regexp.MustCompile(`(?i)(^|\s)(\S{2,}(strasse|straße|str\.|gasse|weg|platz|allee|gatan|gata|vagen|vägen|veien|vegen|straat|laan|kade|katu)|(via|viale|piazza|corso|strada|rang|chemin|ch\.|boul\.?|rte\.?|carr\.?|carretera|ruta|avda\.?|camino|paseo|plaza|praca|travessa|estrada|ulica|ul\.|largo)\s\S+|\S+-(cho|chome|dori|machi|ku|gun|ro|gil)\b)`)}
	// How the words of wayAbroad begin.
	waysAbroad = beginningsOf("strasse|str.|straße|gasse|weg|platz|allee|gatan|gata|vagen|veien|vegen|straat|laan|kade|katu|via|piazza|corso|strada|rang|chemin|ch.|boul|rte|carr|ruta|avda|camino|paseo|plaza|praca|travessa|estrada|ulica|ul.|largo|-cho|-dori|-machi|-ku|-gun|-ro|-gil")
	// What a place that sells fuel calls itself, at the end of its name.
	siteNoun = pattern{needs: letters, expr: regexp.MustCompile(`(?i)\s((filling|service|gas|petrol|fuel|fuell?ing|diesel) (station|stn|stop|cent(er|re)|depot|bar|mart|farm|yard|plaza|shop)|(truck|quick|quik|kwik|fuel|travel|rapid|pit|mini|gas|food) ?(stop|plaza|cent(er|re)|mart)|cardlock|garage|motors|marina|grocery|(general|country|corner|convenience) store|co-?op|fuels|petroleum|oil (co|company|inc|ltd)|service stn|(store|fuels?|gas|food|bait|market|grocery|oil) (&|and) (fuels?|gas|bait|deli|go|grocery|store|food|wash|services?|propane))\.?(,?\s(inc|llc|ltd|co|#?\d{1,5})\.?)*$`), starts: letters + figures}
	// The number of a house or a kilometre behind the way.
	wayHouse = pattern{needs: figures, expr: regexp.MustCompile(`(?i)^[a-z][a-z .'-]*[a-z]\.?\s(\d{1,3}[a-d]?$|\d{1,4}[a-d]?,\s)|\bkm\.?\s?\d`)}
	// A kilometre of a road, before the town or behind the road's name.
	roadPost = pattern{needs: "kK", expr: regexp.MustCompile(`(?i)^([a-z][^,:=]*([\s,]|,\s))?km\.?\s?\d{1,4}([.+]\d{1,3})?(,?\s[a-z]|$)`), starts: letters}
	// A kilometre before its road.
	postRoad = pattern{needs: "kK", expr: regexp.MustCompile(`(?i)^\d{1,4}([.,]\d)?\s?(st|nd|rd|th)?\s?kms?\.?\s(of\s|on\s)?[a-z]{3}`), starts: figures}
	// Numbers of blocks and houses put together, before the way's name.
	blockHouse = pattern{needs: "-", expr: regexp.MustCompile(`(?i)^\d{1,4}(-\d{1,4}){1,2}\s+[a-z]`), starts: figures}
	// A postal code at the end.
	postal = pattern{needs: figures, expr: regexp.MustCompile(`(?i)[ ,](\d{4,5}(-\d{4})?|[a-z]{1,2}\d[a-z\d]?\s?\d[a-z]{2}|[a-z]\d[a-z]\s?\d[a-z]\d)$`), ends: 3}
	// A town with a postal code of six figures or of two groups.
	postalSix = pattern{needs: figures, expr: regexp.MustCompile(`(?i)^[a-z][a-z .'()-]+,?\s(\d{6}|\d{5}-\d{3}|\d{3}-\d{4})$`), starts: letters, ends: 3}
	// A postal code that has a line to itself and has letters in it.
	postalAlone = pattern{needs: figures, expr: regexp.MustCompile(`(?i)^([a-z]{1,2}\d[a-z\d]?\s?\d[abd-hjlnp-uw-z]{2}|[a-z]\d[a-z]\s?\d[a-z]\d)$`), starts: letters, ends: 3}
	// A town behind its postal code.
	postalFirst = pattern{needs: figures, expr: regexp.MustCompile(`(?i)^([a-z]{1,2}-)?\d{4,6},?\s+[a-z][a-z .'-]+(,\s[a-z][a-z .'-]+)?$`), starts: letters + figures}
	// A town with its state.
	townState = pattern{needs: letters, expr: regexp.MustCompile(`(?i)^[a-z][a-z .'-]+,?\s+(a[bklrz]|bc|c[aot]|d[ce]|fl|ga|hi|i[adln]|k[sy]|la|m[abdeinost]|n[bcdehjlmstuvy]|o[hknr]|p[aer]|qc|ri|s[cdk]|t[nx]|ut|v[at]|w[aivy]|yt|nsw|vic|qld|tas|act|sa|nt|ariz|calif|colo|conn|fla|kans|mich|minn|mont|nebr?|nev|okla|oreg|penna|tenn|tex|wisc|wyo)\.?(\s+\d{4,5}(-\d{4})?)?$`), starts: letters}
	// A town with its state or province in full.
	townProvince = pattern{needs: ",", expr: regexp.MustCompile(`(?i)^[a-z][a-z .'-]+,\s+(alabama|alaska|arizona|arkansas|california|colorado|connecticut|delaware|florida|georgia|hawaii|idaho|illinois|indiana|iowa|kansas|kentucky|louisiana|maine|maryland|massachusetts|michigan|minnesota|mississippi|missouri|montana|nebraska|nevada|new hampshire|new jersey|new mexico|new york|north carolina|north dakota|ohio|oklahoma|oregon|pennsylvania|rhode island|south carolina|south dakota|tennessee|texas|utah|vermont|virginia|washington|west virginia|wisconsin|wyoming|puerto rico|alberta|british columbia|manitoba|new brunswick|newfoundland|nova scotia|ontario|prince edward island|quebec|saskatchewan|yukon|nunavut|northwest territories|new south wales|victoria|queensland|tasmania|south australia|western australia|northern territory)\.?(\s+\d{4,5}(-\d{4})?)?$`), starts: letters}
	houseWay     = pattern{needs: figures, expr: regexp.MustCompile(`(?i)^((no|nos|unit|lot|suite)\.?\s+)?\d{1,6}([a-z]|/\d{1,4})?,?\s+[a-z]`), starts: figures + "nulsNULS"}
	// A way with a comma behind it, as before a town.
	wayComma = pattern{needs: ",", expr: regexp.MustCompile(`(?i)\s(st|street|rd|road|ave|avenue|blvd|boulevard|ln|lane|dr|drive|hwy|highway|way|sq|square|pkwy|parkway|pl|place|expy|expwy|expressway|freeway|fwy|bypass|causeway|turnpike|tpke|pike|crescent|cres|close|terrace|parade|quay|trail|esplanade|embankment|flyover)\.?,\s`)}
	// A house on a way that has a number for a name.
	roadNumber = pattern{needs: figures, expr: regexp.MustCompile(`(?i)^\d{1,6}\s+([nsew]\.?\s+)?(us|i|sr|cr|sh|fm|rm|rt|rte|hwy|state route|county road)[ -]?\d{1,4}\b`), starts: figures}
	// A highway by its number, which stands for the way.
	highway = pattern{needs: figures, expr: regexp.MustCompile(`(?i)^(i|us|u\.s\.|sr|sh|cr|fm|interstate|hwy|highway|route|rte|rt|state (road|route|hwy|highway)|county road|nh|sh)[ -]?\d{1,4}\b`), starts: "iuscfhrnIUSCFHRN"}
	// A highway by its number and no more than its bearing.
	highwayAlone = pattern{needs: figures, expr: regexp.MustCompile(`(?i)^((us|u\.s\.|state|county|old|business)\s)?(hwy|highway|route|rte|interstate)\.?[ -]?\d{1,4}[a-z]?(\s(n|s|e|w|ne|nw|se|sw|north|south|east|west|bypass|business|bus|alt|spur|loop))?\.?$`), starts: "uschoribUSCHORIB"}
	// An exit, a mile or a junction before the highway that it is on.
	placeHighway = pattern{needs: figures, expr: regexp.MustCompile(`(?i)^((exit|milepost|mile ?post|mile marker|mile|mp|mm|junction|jct\.?)\s+[a-z]?\d{1,4}[a-z]?,?\s+((of|on|off|from)\s+)?|(junction|jct\.?|cor\.?|corner|intersection|crossroads)\s+(of\s+)?)(i|us|u\.s\.|sr|sh|cr|co rd|fm|rm|rt|rte|interstate|hwy|highway|route|state (road|route|hwy|highway)|county road|nh|trans-canada|tch)[ -]?\d{1,4}\b`), starts: "ejmciEJMCI"}
	// A road of another country by its letter and number, before a town.
	roadSign = pattern{needs: figures, expr: regexp.MustCompile(`(?i)^(a|b|c|d|e|m|n|p|r|re|rn|rd|sh|nh|ap|ah|br|bp)[ -]?\d{1,4}[a-z]?,?\s[a-z]{3,}`), starts: "abcdemnprsABCDEMNPRS"}
	// A place on a highway, or where two ways meet.
	junction = pattern{needs: letters, expr: regexp.MustCompile(`(?i)\b(exit|milepost|mile ?post|mile marker|mile|mp|mm|junction|junct\.?|jct\.?|jn\.?)\s+[a-z]?\d|\d\s+(&|and|at)\s+[a-z0-9]|[a-z]\s+(&|and)\s+(i|us|sr|cr|rt|rte|hwy|state|county|route)\b.*\d`)}
	// A part of a building or a plot.
	premises = pattern{needs: figures, expr: regexp.MustCompile(`(?i)^(level|lot|unit|suite|floor|flat|blk|block|shop lot)\.?\s*[a-z]?-?\d|^nos?\.?\s*\d+[a-z]?,`), starts: "lusfbnLUSFBN"}
	// A box or a rural route, which stand for house and way.
	postBox = pattern{needs: figures, expr: regexp.MustCompile(`(?i)\b(p\.?\s?o\.?\s?box|box|rr|rural route|star route)\s+\d`)}
	// How the words of postBox begin.
	boxWords = beginningsOf("box|rr |rural|star")
	// A telephone number without a word for it.
	telephone = pattern{needs: figures, expr: regexp.MustCompile(`^\+?[(]?\d{2,4}[)]?[ -]+(\d{2,4}[ -]+)?\d{3,4}([ -]\d{3,4})?$`), starts: figures + "+("}
)

// wayWords are the words for a way, which make a street of the words before them.
var wayWords = func() map[string]bool {
	const all = "st|str|street|rd|road|ave|av|avenue|blvd|boulevard|ln|lane|dr|drive|hwy|highway|hiway|hway|hgwy|motorway|thruway|way|sq|square|pkwy|parkway|ct|court|pl|place|route|rte|cir|circle|trl|trail|pike|rt|ter|terrace|close|crescent|bypass|turnpike|tpke|causeway|esplanade|parade|crossing|freeway|expy|expwy|fwy|quay|flyover|jalan|jln|lorong|rue|calle|avenida|rua|strasse"
	out := map[string]bool{}
	for _, w := range strings.Split(all, "|") {
		out[w] = true
	}
	return out
}()

// hasWay reports whether a word for a way stands in the text.
func hasWay(text string) bool { return countWays(text, 1) > 0 }

// countWays counts the words for a way in a text, up to so many. Such a word begins
// the text or stands behind a space; a mark may follow it.
func countWays(text string, most int) int {
	n := 0
	for word := range strings.FieldsFuncSeq(text, isSpace) {
		if beginsWay(word) {
			if n++; n == most {
				break
			}
		}
	}
	return n
}

// beginsWay reports whether a text begins with a word for a way.
func beginsWay(text string) bool {
	var room [longestWay]byte
	return wayWords[string(appendLower(room[:0], firstWord(text)))]
}

// longestWay is how many letters the longest words for a way have: boulevard, esplanade.
const longestWay = 9

// firstWord is what stands before the first mark of a text; "" when it is longer than any
// word for a way.
func firstWord(text string) string {
	end := 0
	for end < len(text) && end <= longestWay && isWordByte(text[end]) {
		end++
	}
	if end > longestWay {
		return ""
	}
	return text[:end]
}

// appendLower puts an ASCII text in lower case behind b.
func appendLower(b []byte, text string) []byte {
	for i := 0; i < len(text); i++ {
		c := text[i]
		if c >= 'A' && c <= 'Z' {
			c += 'a' - 'A'
		}
		b = append(b, c)
	}
	return b
}

func isSpace(r rune) bool { return r == ' ' || r >= '\t' && r <= '\r' && r != '\v' }

// isWordByte reports whether a character goes on with a word, as opposed to a mark.
func isWordByte(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '_'
}
