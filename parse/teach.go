package parse

import (
	"fmt"
	"slices"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// Said is what a person said of one field of a record.
type Said struct {
	Kind  record.Kind
	Field string
	Value record.Field // what the field is
	Text  string       // what was read for it, as printed; "" for nothing
}

// Teaches lists words that would let the grammar read on a slip what a person said
// of a field, and does not read surely without them: the printed word for a code, or
// the label in front of or above a value. Each was tried: with it the slip says what the
// person said. Have are the words that were taught before.
func Teaches(s record.Slip, h Hints, have []lexicon.Word, said Said) []lexicon.Word {
	before, err := readWith(s, h, have)
	if err != nil || said.sure(before) > 0 {
		return nil
	}
	var out []lexicon.Word
	for _, w := range newDoc(s, h).candidates(said) {
		if len(out) == mostTaughtAtOnce || slices.ContainsFunc(out, func(o lexicon.Word) bool { return longerFor(w, o) }) {
			continue
		}
		after, err := readWith(s, h, append(slices.Clone(have), w))
		if err == nil && said.better(before, after) {
			out = append(out, w)
		}
	}
	return out
}

// longerFor reports whether a word says what another says, with more words around it.
func longerFor(w, o lexicon.Word) bool {
	return w.Sense == o.Sense && w.Code == o.Code && holdsWords(w.Spelling, o.Spelling)
}

// holdsWords reports whether words stand in a text.
func holdsWords(text, words string) bool {
	return strings.Contains(" "+text+" ", " "+words+" ")
}

// mostTaughtAtOnce bounds what one decision teaches.
const mostTaughtAtOnce = 2

// readWith reads a slip with words that were taught.
func readWith(s record.Slip, h Hints, words []lexicon.Word) (record.Report, error) {
	h.Lexicon = nil
	if len(words) > 0 {
		lex, err := lexicon.With(words)
		if err != nil {
			return record.Report{}, err
		}
		h.Lexicon = lex
	}
	return Slip(s, h), nil
}

// count is how many records of a report say what the person said.
func (x Said) count(r record.Report) int {
	return x.tally(r, func(record.Field) bool { return true })
}

func (x Said) sure(r record.Report) int {
	return x.tally(r, func(f record.Field) bool { return f.Sure })
}

func (x Said) tally(r record.Report, ok func(record.Field) bool) int {
	n := 0
	for _, rec := range r.Records {
		if f, has := rec.Fields[x.Field]; has && rec.Kind == x.Kind && sameValue(f, x.Value) && ok(f) {
			n++
		}
	}
	return n
}

// better reports whether a reading says what the person said where the other did
// not, or did not surely.
func (x Said) better(before, after record.Report) bool {
	return x.count(after) > x.count(before) || x.sure(after) > x.sure(before)
}

// sameValue reports whether two fields hold the same text or amount.
func sameValue(a, b record.Field) bool {
	x, isNumber := a.Number()
	y, isToo := b.Number()
	if isNumber || isToo {
		return isNumber && isToo && x == y && a.Unit == b.Unit
	}
	return a.String() == b.String()
}

// candidates are the words of a slip that may be what the person's word was about.
func (d *doc) candidates(said Said) []lexicon.Word {
	spec, ok := specs[said.Kind][said.Field]
	if !ok {
		return nil
	}
	if spec.Type == record.Code {
		var out []lexicon.Word
		for _, text := range d.printedFor(said) {
			out = append(out, teachable(lexicon.Word{Sense: senseOf(said.Kind, said.Field), Code: said.Value.String(), Spelling: lexicon.Normal(text)})...)
		}
		return out
	}
	parts := partsOf(d.lex, said.Kind, said.Field)
	if parts == "" {
		return nil
	}
	var out []lexicon.Word
	for n, l := range d.lines {
		for i := range l.toks {
			r, ok := d.readField(said.Kind, spec, l.toks[i:], "")
			if !ok || !d.says(said, r) {
				continue
			}
			label := labelBefore(l.toks[:i])
			if len(label) == 0 && i == 0 && n > 0 {
				label = labelBefore(d.lines[n-1].toks)
			}
			if len(label) > 0 {
				out = append(out, teachable(lexicon.Word{Sense: lexicon.Part, Code: parts, Spelling: phraseOf(label)})...)
			}
		}
	}
	return out
}

// printedFor lists what may be printed for a code: what was read in its place and what
// stands around it, for a guess may be of one word of several; or else the words behind or
// below its label.
func (d *doc) printedFor(said Said) []string {
	if said.Text == "" {
		return d.behindLabel(said)
	}
	out := []string{said.Text}
	for _, l := range d.lines {
		for _, cell := range cells(l.toks) {
			for i := len(cell) - 1; i > 0; i-- {
				if cell[i-1].delim != 0 {
					cell = cell[i:]
					break
				}
			}
			if text := textOf(cell); holdsWords(text, said.Text) {
				out = append(out, text)
			}
		}
	}
	return out
}

// behindLabel lists the words behind or below the label of a field.
func (d *doc) behindLabel(said Said) []string {
	var out []string
	for k, l := range d.lines {
		for i := range l.toks {
			if !starts(l.toks, i) {
				continue
			}
			for _, n := range d.names(l.toks[i:]) {
				if f, ok := d.field(said.Kind, n.bag); !ok || f != said.Field || n.cost > 0 {
					continue
				}
				j := i + n.used
				switch {
				case j < len(l.toks) && (l.toks[j-1].delim != 0 || starts(l.toks, j)):
					out = append(out, textOf(l.toks[j:cellEnd(l.toks, j)]))
				case j == len(l.toks) && i == 0 && k+1 < len(d.lines) && len(d.lines[k+1].toks) > 0:
					out = append(out, textOf(d.lines[k+1].toks[:cellEnd(d.lines[k+1].toks, 0)]))
				}
			}
		}
	}
	return out
}

// teachable is the word itself, unless it cannot be taught.
func teachable(w lexicon.Word) []lexicon.Word {
	if w.Check() != nil || len(strings.Fields(w.Spelling)) > maxPhraseWords {
		return nil
	}
	if code, known := lexicon.Default().Knows(w.Sense, w.Spelling); known && code == w.Code {
		return nil
	}
	return []lexicon.Word{w}
}

// says reports whether a value that was read is what the person said.
func (d *doc) says(said Said, r reading) bool {
	if r.hasTime() {
		text, ok := d.timeText(r.moment())
		return ok && strings.HasPrefix(text, said.Value.String()[:min(len(text), len(said.Value.String()))])
	}
	f := record.Field{Value: r.value, Unit: said.Value.Unit}
	return r.value != nil && sameValue(f, said.Value)
}

// labelBefore are the words that stand right before a value: back to the number, the
// label mark or the cell before them.
func labelBefore(toks []token) []token {
	const most = 4 // words of a label
	from := len(toks)
	for from > 0 && len(toks)-from < most {
		t := toks[from-1]
		if t.number || t.blank || t.delim != 0 && from < len(toks) || !strings.ContainsAny(t.text, letters) {
			break
		}
		from--
		if starts(toks, from) && from < len(toks)-1 {
			break
		}
	}
	return toks[from:]
}

// senseOf is the sense of the words that stand for the codes of a field.
func senseOf(k record.Kind, field string) lexicon.Sense {
	switch {
	case field != "state":
		return codeSense[field]
	case k == record.SensorStatus:
		return lexicon.SensorState
	}
	return lexicon.AlarmState
}

// partsOf are the parts that name a field of a kind, joined as words for several
// parts are.
func partsOf(lex *lexicon.Lexicon, k record.Kind, field string) string {
	for _, p := range lex.Patterns() {
		if p.Field == field && (p.Kind == "*" || p.Kind == string(k)) && len(p.Required) > 0 {
			return strings.Join(p.Required, "+")
		}
	}
	return ""
}

// Change is a field of a slip that words make say something else.
type Change struct {
	Kind     record.Kind
	What     string // equipment
	Field    string
	Was, Now string // "" when it is not read; a ? behind what is not sure
}

func (c Change) String() string {
	or := func(s string) string {
		if s == "" {
			return "nothing"
		}
		return s
	}
	return strings.TrimSpace(kindWords(c.Kind)+" "+c.What) + fmt.Sprintf(": %s was %s, would be %s", c.Field, or(c.Was), or(c.Now))
}

// Changes lists what a slip says otherwise with one vocabulary than with another, nil for
// the one that all sites share: first other values, then what is surer or less so. Records
// are compared in their order.
func Changes(s record.Slip, h Hints, was, now *lexicon.Lexicon) []Change {
	h.Lexicon = was
	a := Slip(s, h)
	h.Lexicon = now
	b := Slip(s, h)
	var out []Change
	for i := range max(len(a.Records), len(b.Records)) {
		x, y := recordAt(a, i), recordAt(b, i)
		shown := y
		if y.Kind == "" {
			shown = x
		}
		for _, spec := range record.Specs(shown.Kind) {
			c := Change{Kind: shown.Kind, What: shown.Equipment(), Field: spec.Name, Was: shortly(x, shown.Kind, spec.Name), Now: shortly(y, shown.Kind, spec.Name)}
			if c.Was != c.Now {
				out = append(out, c)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Change) int { return b.value() - a.value() })
	return out
}

// value is 1 for a change of the value, 0 for one of how sure it is.
func (c Change) value() int {
	if strings.TrimSuffix(c.Was, " ?") == strings.TrimSuffix(c.Now, " ?") {
		return 0
	}
	return 1
}

// recordAt is a record of a report, an empty one behind the last.
func recordAt(r record.Report, i int) record.Record {
	if i < len(r.Records) {
		return r.Records[i]
	}
	return record.Record{}
}

// shortly is the value of a field as a screen shows it.
func shortly(r record.Record, k record.Kind, field string) string {
	f, ok := r.Fields[field]
	if !ok || r.Kind != k {
		return ""
	}
	v := strings.TrimSpace(fmt.Sprint(f.Value) + " " + f.Unit)
	if !f.Sure {
		v += " ?"
	}
	return v
}
