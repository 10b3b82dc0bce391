package parse

import (
	"tankroll/parse/lexicon"
	"tankroll/record"
)

// placeMemory remembers what was found out about runs of tokens, by the place of their
// first token on the slip: the same run is looked at from many sides.
type placeMemory struct {
	hits    [maxPhraseWords]hitsPlace // by how many tokens there are, less one
	senses  lexicon.Senses            // of phrases that begin here and have up to so many tokens
	sensed  int8
	most    int8 // tokens of a phrase that begins here, 0 when not known
	names   *memo[namesAnswer]
	moments *memo[momentAnswer]
	scans   *memo[scanAnswer]
	titles  *memo[titleAnswer]
	words   *memo[wordsAnswer]
	columns *memo[columnsAnswer]
	grades  *memo[gradeAnswer]

	passHeads *memo[passHeadAnswer]
}

// memo is one thing that was found out about runs that begin with a token, and the one
// found out before it.
type memo[T any] struct {
	is     T
	before *memo[T]
}

// memos is room for the memos of a slip, of one sort.
type memos[T any] struct{ room []memo[T] }

// keep puts a memo before those of a token.
func (a *memos[T]) keep(of **memo[T], is T) {
	const atOnce = 16 // a slip of few lines takes some dozens
	if len(a.room) == cap(a.room) {
		a.room = make([]memo[T], 0, atOnce)
	}
	a.room = append(a.room, memo[T]{is, *of})
	*of = &a.room[len(a.room)-1]
}

// memories is room for what places remember.
type memories struct {
	names   memos[namesAnswer]
	moments memos[momentAnswer]
	scans   memos[scanAnswer]
	titles  memos[titleAnswer]
	words   memos[wordsAnswer]
	columns memos[columnsAnswer]
	grades  memos[gradeAnswer]

	passHeads memos[passHeadAnswer]
}

// hitsPlace is where doc.hits has what the lexicon knows of a run. Most places know
// nothing, so that they take little room.
type hitsPlace int32

const (
	notAsked hitsPlace = iota
	noHits
	firstHits
)

// recall is what was kept at a place, not ok when nothing was.
func (d *doc) recall(p hitsPlace) (hits []lexicon.Hit, ok bool) {
	if p >= firstHits {
		return d.hits[p-firstHits], true
	}
	return nil, p == noHits
}

// keepHits remembers hits and says where.
func (d *doc) keepHits(hits []lexicon.Hit) hitsPlace {
	if len(hits) == 0 {
		return noHits
	}
	d.hits = append(d.hits, hits)
	return firstHits + hitsPlace(len(d.hits)-1)
}

// namesAnswer are the labels that a run begins with.
type namesAnswer struct {
	key   runKey
	names []name
}

// scanAnswer is what a run says of a kind of record.
type scanAnswer struct {
	key       runKey
	kind      record.Kind
	qualifier string
	facts     []fact
	worth     float64
}

// columnsAnswer are the columns of so many lines of a heading that begins here.
type columnsAnswer struct {
	lines  int
	toks   int // of the first of them
	cut    headingCut
	spread bool
	cols   []column
}

// gradeAnswer is the grade that a run names.
type gradeAnswer struct {
	key  runKey
	code string
	cost float64
	ok   bool
}

// wordsAnswer is what so many words of a header are.
type wordsAnswer struct{ n, kind int }

// titleAnswer is what a line announces.
type titleAnswer struct {
	key   runKey
	title titleFinding
}

// placeSet is a set of places of tokens. Tokens that stand nowhere have one place
// together, -1.
type placeSet []bool

// newPlaces is an empty set with room for all places of the slip.
func (d *doc) newPlaces() placeSet { return make(placeSet, len(d.places)+1) }

func (s placeSet) has(at int) bool { return at+1 < len(s) && s[at+1] }

// add adds a place; what lies behind the last token is none.
func (s placeSet) add(at int) {
	if at+1 < len(s) {
		s[at+1] = true
	}
}

// memory is the memory of the run's first token; nil for tokens that stand nowhere.
func (d *doc) memory(at int) *placeMemory {
	if at < 0 || at >= len(d.places) {
		return nil
	}
	return &d.places[at]
}

// forgetRuns forgets what was found out about runs, whose tokens have changed.
func (d *doc) forgetRuns() {
	clear(d.places)
	d.hits = d.hits[:0]
}

// forgetReadings forgets what runs say, whose tokens are marked anew.
func (d *doc) forgetReadings() {
	for i := range d.places {
		p := &d.places[i]
		p.scans, p.titles, p.words, p.names, p.columns, p.grades, p.passHeads = nil, nil, nil, nil, nil, nil, nil
	}
}
