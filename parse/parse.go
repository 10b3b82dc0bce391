// Package parse turns a printout into typed records.
//
// Slip is the one door: it takes what was seen on the paper and says what it
// means. It cannot fail: a slip that says nothing gives an empty report. Typed
// makes slips of plain text, for people and tests.
//
// No console's layout is known here. The grammar goes by structure (a label
// and what stands beside or below it, columns under headings, lists,
// sentences) and by the trade's words, which are data in package lexicon. The
// productions stand above the code that reads them:
//
//	slip      = { headline | section }           header.go, section.go
//	section   = title { structure }              section_title.go, structure.go
//	structure = line | list line | paragraph     scan.go, listline.go, paragraph.go
//	          | table | matrix | label above     table.go, matrix.go, above.go
//	          | label over labels                above_head.go
//	          | several values behind one label  several_labels.go, several_values.go
//	          | blocks side by side              abreast.go
//	legend    = { number product }               legend.go, anywhere on the slip
//
// Every way to read a section is weighed by how many words it gives a place
// to (fact.go); the best one stands.
//
// A slip goes through the files in this order: token.go cuts its lines, dates.go
// finds how it writes dates, section.go cuts it at its titles, section_kind.go
// chooses the kind of each section, assemble.go makes drafts of what was read,
// header.go looks for the head in what is left over, report.go gives the values
// their form, check.go compares them and sure.go says which are beyond doubt. A
// file such as scan_pair.go holds one part of the work of scan.go.
//
// When all rules have spoken, package tagger reads the words a second time, without
// rules (second.go). What it finds and they did not is put into the records, doubtful
// (second_fill.go); what they found and it takes for something else is doubted. Where both
// make records of the same words the slip is read in several ways (second_ways.go), and that
// stands whose fields are trusted most: by how they read, and by how their record goes
// with the others (trust.go, company.go).
//
// A field is sure only when its words were read well, its label and value are
// exact, its unit and size are plausible, and nothing on the slip speaks
// against it. Every field that is not sure has a doubt that says why in plain
// words.
package parse

import (
	"time"

	"tankroll/parse/lexicon"
	"tankroll/parse/value"
	"tankroll/record"
)

// Version is the version of the grammar. It grows when the same slip may give
// another report.
//
//	1  first version
//	2  a record cut off above the picture is not sure
//	3  what has no place doubts what stands around it; headings of states, numbered
//	   entries, wrapped text, tables on their side, headers by their place
//	4  a pass a row, numbered labels, runs between semicolons, empty lines as a cue;
//	   a kind or a list that can be read in another way nearly as well is doubted
//	5  values that go over to the next line, runs parted by strokes and bars, titles
//	   between marks, more times of printing; what may go on below is doubted
//	6  tables cut in several, runs of sensors, products before their tank, what goes over
//	   the end of a line, amounts beside a start; a date apart from its clock is doubted
//	7  ways and towns of other countries, times of the readings apart from that of
//	   printing, lines that say nothing of any record, thousands in close columns, rows
//	   that go over to the next line, amounts beside a start or end, yes and no;
//	   what was not understood doubts what it could change, and no more
//	8  summaries of passes: the rate behind its line, bare, as the columns of a table or
//	   over its rows; empty cells, lists of the first pass of each month; ALARM in a
//	   column of states, products in the head of a matrix, tanks among rows of tests
//	9  summaries of passes: tests over groups of columns or over columns of labelled rows,
//	   counts with strokes, NONE YET, lists of months, the last of a list, rates behind
//	   what they are of; letters as names; no value from under another heading;
//	   pieces of a record that was torn apart are doubted; confidence
//	   of a field is how often such a one is right
//	10 rates and tests that go over the line end, labels over those that they complete, labels
//	   for several values, two labels and two values with a stroke; heads of columns and names
//	   without a word for tank or line, in marks, in one word with their product; rows named
//	   left of all columns; the year first in two figures; a name is not sure where nothing
//	   of its record is
//	11 records that begin with their time or share nothing, several values behind one label
//	12 titles with the site or the units beside them, places without a word for a way, rows of
//	   a start and an end, lines of each tank below words for what they are of, blocks of tests
//	   below several rates, letters of verdicts, rates of a column, sums of products; REGULAR
//	   beside any octane is regular
//	13 numbers of a menu's rows, names in brackets that touch what is said, the order of dates
//	   as the slip says it, heads of tanks and of lines below one title, tanks and what they hold
//	   in one column, which pass it is between its time and PASS, a part OF all that a tank holds,
//	   one of two values missing; figures that no octane number is are doubted; tests of tanks
//	   and of lines without titles, past alarms below active ones, towns below streets, keys to
//	   short forms of verdicts, amounts that show which mark parts thousands
//	15 a second reading by a network (package tagger) fills what no rule finds, doubtful, and is asked
//	   about every field; notes in labels, strange lines and words that lose only themselves
//	16 the second reading makes records of its own, which stand where the rules' fit badly with what it
//	   sees, and says codes of words that the lexicon does not know; tests below the names of their lines,
//	   keys to words that are no results, limits and stocks in several tables
//	17 the second reading has learned from words as they are cut for it, from six folders more and for
//	   longer; what gives way for it passes on what it alone says; a rate that is tested for, a lone
//	   volume and a volume that may be the capacity are doubted
//	18 what the second reading plainly takes for a name, a code or a time is taken, words at the ends of runs
//	   are cut off, grades of products that no lexicon knows, results of headings, passes with their hour alone
//	19 periods of books and moments of readings that stand once are every record's; a field is trusted by
//	   the record's field that the second reading agrees with least
//	20 the second reading is the mean of two networks, a heading over records of several kinds is all of
//	   theirs, by the grammar where they have titles, 07/20 2014 22:51 has its year
//	21 a field is trusted by how its record goes with the others of the slip, and sure only where it is
//	22 of the ways to choose from both readings that is taken whose fields are trusted most
const Version = 22

// Hints are what is known about a slip from elsewhere.
type Hints struct {
	Site          string    // the site's number as a person gave it, or ""
	DayFirst      bool      // the site writes 14/03/2025; only with DayFirstKnown
	DayFirstKnown bool      // the order of day and month is known
	Now           time.Time // no printed date can be after it; zero: unknown

	Lexicon *lexicon.Lexicon // with the site's own words; nil: those that all sites share
}

// doc is one slip at work.
type doc struct {
	lex          *lexicon.Lexicon
	hints        Hints
	lines        []line
	style        value.Style
	timeNames    value.Names
	dates        dateFinding
	units        unitSystem
	timesAre     string    // "start" or "end" where the slip says that tests began or ended at all times that it shows
	qualifier    string    // "start" or "end" while lines under such a heading are read
	softly       bool      // that heading has a value of its own
	over         headAbove // while lines set in below it are read
	lead         name      // a part of labels above the row of a matrix that is being read
	inside       bool      // one of several blocks side by side is being read
	marked       bool      // the value being read stands behind a label mark
	stateSense   lexicon.Sense
	found        map[string]known
	places       []placeMemory   // by the place of a token
	kept         memories        // what they remember
	hits         [][]lexicon.Hit // by hitsPlace
	words        []string        // of the time that is being read
	phrase       []byte          // that is being looked up
	grid         []cellStep      // of the row that is being read, with the readings it is made of
	reads        []reading
	scanner      *scanner                 // of the last scan
	steps        []step                   // of the run that is being scanned
	factRoom     []fact                   // for the facts of its steps
	rowRoom      []fact                   // for those of the row that is being read
	nameRoom     []name                   // for names in the making
	fields       map[string][]fieldAnswer // by the parts of a label
	now          value.Day
	dotThousands bool    // 37.854 is most likely 37854
	groupsShown  bool    // and stands among amounts below a thousand that have no mark
	width        float64 // right edge of the longest line
	hasClocks    bool    // most dates have a time of day
	hasHalves    bool    // most times have am or pm
	saysPrinted  bool    // a header line says when the slip was printed
	together     []fact  // when all above a line were read
	headFacts    []fact  // header fields found among the records
	front        head    // what the slip's head and foot say

	second        *second        // what the second reading says
	way           way            // how the records of both readings are chosen from
	torn          bool           // they can be chosen from otherwise
	testOnlyField func(evidence) // sees what is known of every field
}

// Slip reads one slip.
func Slip(s record.Slip, h Hints) record.Report {
	return newDoc(s, h).understand(s)
}

// understand makes the report of the slip.
func (d *doc) understand(s record.Slip) record.Report {
	drafts, left := d.sections()
	drafts = d.withoutSums(joinApart(drafts))
	sharedPeriods(drafts)
	drafts = d.datesApart(drafts)
	d.onlyTaken(drafts)
	d.giveTaken(drafts)
	drafts = d.withoutKeys(drafts)
	d.legendProducts(drafts)
	takenApart(drafts)
	nameless(drafts)
	cutAbove(s, drafts)
	head := d.header(left, drafts)
	d.strangers(drafts, &head)
	d.dangers(drafts, &head)
	d.doubtSides(drafts)
	d.doubtShared(drafts)
	d.second = d.readSecond(s)
	return d.weighed(drafts, head)
}

// newDoc finds out what holds for the whole slip: how it writes numbers and
// dates, and which units it uses.
func newDoc(s record.Slip, h Hints) *doc {
	lex := h.Lexicon
	if lex == nil {
		lex = lexicon.Default()
	}
	d := &doc{
		lex: lex, hints: h, lines: tokenize(s, lex), stateSense: lexicon.AlarmState,
		fields: map[string][]fieldAnswer{},
	}
	d.timeNames = d.namesOfTime()
	d.timeNames.Dots = d.dotDates()
	tokens := 0
	for _, l := range d.lines {
		tokens += len(l.toks)
	}
	d.places = make([]placeMemory, tokens)
	d.found = make(map[string]known, tokens)
	if !h.Now.IsZero() {
		d.now = value.Day{Year: h.Now.Year(), Month: int(h.Now.Month()), Day: h.Now.Day()}
	}
	for _, l := range d.lines {
		if n := len(l.toks); n > 0 {
			d.width = max(d.width, l.toks[n-1].end)
		}
	}
	keys := d.spellKeys()
	if d.twoTongues() || len(keys) > 0 {
		d.forgetRuns() // words are others now
	}
	d.markNoHalves()
	d.markLetters()
	d.cutRowNumbers()
	texts := d.numberTexts()
	d.style = value.StyleOf(texts)
	d.units = d.findUnits()
	d.dotThousands = d.units.metric > d.units.us && d.style == value.Unknown && value.DotThousands(texts)
	joined := d.joinInColumns()
	joined = d.joinThousands() || joined
	joined = d.edgeFullLabels() || joined
	if d.unwrap() {
		d.joinThousands()
		joined = true
	}
	if joined {
		d.forgetRuns() // the tokens are others now
	}
	d.dates = d.findDates()
	d.markOrdinals()
	d.markAligned()
	d.forgetReadings() // the tokens are marked anew
	d.timesNotes()
	d.readHead()
	d.markHead()
	d.readTogether()
	for _, i := range keys {
		d.lines[i].head = true
	}
	return d
}
