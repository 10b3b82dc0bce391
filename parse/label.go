package parse

import (
	"slices"
	"strings"
	"sync"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// headerKind holds the names of the header's fields in the label table.
const headerKind record.Kind = "header"

// headKind holds names that mean the header only in its own lines, where a
// location is that of the site.
const headKind record.Kind = "head"

// labelTable says which set of parts names which field of a kind.
type labelTable struct {
	parts  map[string]byte // part -> number
	fields map[record.Kind]map[string]string
}

// labelTables is made once from the default lexicon's patterns.
var labelTables = sync.OnceValue(func() *labelTable {
	t := &labelTable{map[string]byte{}, map[record.Kind]map[string]string{}}
	lex := lexicon.Default()
	for part := range lex.Terms(lexicon.Part) {
		for _, p := range strings.Split(part, "+") {
			t.parts[p] = 0
		}
	}
	names := make([]string, 0, len(t.parts))
	for part := range t.parts {
		names = append(names, part)
	}
	slices.Sort(names)
	for i, part := range names {
		t.parts[part] = byte(i + 1)
	}
	for _, p := range lex.Patterns() {
		for _, k := range kindsOf(p) {
			if t.fields[k] == nil {
				t.fields[k] = map[string]string{}
			}
			t.enter(t.fields[k], p)
		}
	}
	return t
})

func kindsOf(p lexicon.Pattern) []record.Kind {
	if p.Kind != "*" {
		return []record.Kind{record.Kind(p.Kind)}
	}
	var out []record.Kind
	for _, k := range record.Kinds() {
		if _, ok := record.Spec(k, p.Field); ok {
			out = append(out, k)
		}
	}
	return out
}

// enter adds a pattern with every choice of its optional parts. The kind's own
// patterns and the first of equal ones stand.
func (t *labelTable) enter(m map[string]string, p lexicon.Pattern) {
	for choice := 0; choice < 1<<len(p.Optional); choice++ {
		bag := ""
		for _, r := range p.Required {
			bag = withPart(bag, t.parts[r])
		}
		for i, o := range p.Optional {
			if choice>>i&1 == 1 {
				bag = withPart(bag, t.parts[o])
			}
		}
		if _, ok := m[bag]; !ok || p.Kind != "*" && choice == 0 {
			m[bag] = p.Field
		}
	}
}

// withPart adds a part to a sorted set of parts.
func withPart(bag string, part byte) string {
	i := 0
	for i < len(bag) && bag[i] < part {
		i++
	}
	if i < len(bag) && bag[i] == part {
		return bag
	}
	return bag[:i] + string(part) + bag[i:]
}

// withParts adds what a word stands for: one part, or several as in
// water+volume.
func withParts(bag, code string) string {
	for _, p := range strings.Split(code, "+") {
		bag = withPart(bag, labelTables().parts[p])
	}
	return bag
}

// The sets of parts that are asked for at every word.
var (
	testBag     = sync.OnceValue(func() string { return bagOf("test") })
	leakTestBag = sync.OnceValue(func() string { return bagOf("leak", "test") })
	startBag    = sync.OnceValue(func() string { return bagOf("start") })
	endBag      = sync.OnceValue(func() string { return bagOf("end") })
	raisedBag   = sync.OnceValue(func() string { return bagOf("raised") })
)

// bagOf is the set of the named parts.
func bagOf(parts ...string) string {
	bag := ""
	for _, p := range parts {
		bag = withPart(bag, labelTables().parts[p])
	}
	return bag
}

func (t *labelTable) has(bag string, part string) bool {
	return strings.IndexByte(bag, t.parts[part]) >= 0
}

// name is a run of tokens that are parts of labels.
type name struct {
	used  int // tokens
	bag   string
	cost  float64
	unit  string // of a unit that stands in it
	words int    // tokens that are parts
}

// The most names that are followed up at one place, and the most tokens in one.
const (
	maxNames      = 24
	maxNameTokens = 8
)

// names lists every beginning of the tokens that is made of parts of labels,
// fillers and units. A label ends at its mark and at a wide gap.
func (d *doc) names(toks []token) []name {
	var out []name
	if len(toks) == 0 {
		return nil
	}
	key, ok := run(toks)
	m := d.memory(key.at)
	if ok && m != nil {
		for _, a := range m.names {
			if a.key == key {
				return a.names
			}
		}
	}
	d.walk(toks, name{}, &out)
	if ok && m != nil {
		m.names = append(m.names, namesAnswer{key, out})
	}
	return out
}

func (d *doc) walk(toks []token, at name, out *[]name) {
	j := at.used
	if j > 0 {
		*out = append(*out, at)
	}
	if len(*out) >= maxNames || j >= len(toks) || j >= maxNameTokens || j > 0 && (toks[j-1].delim != 0 || toks[j-1].stop == ';' || starts(toks, j)) {
		return
	}
	if d.walkParts(toks, at, out) || j == 0 {
		return
	}
	t := toks[j]
	if code, cost, n := d.code(lexicon.Unit, toks[j:]); n > 0 && cost == 0 && t.norm != "of" {
		next := at
		next.used, next.unit = j+n, code
		d.walk(toks, next, out)
		return
	}
	if _, ok := d.filler(t); ok {
		next := at
		next.used, next.cost = j+1, at.cost+0.05
		d.walk(toks, next, out)
	}
}

// walkParts goes on with the longest part that stands here, in each of its
// meanings.
func (d *doc) walkParts(toks []token, at name, out *[]name) bool {
	rest := toks[at.used:]
	most := min(d.maxWords(rest[0]), len(rest))
	for n := most; n > 0; n-- {
		if crosses(rest, n) {
			continue
		}
		found := false
		for _, h := range d.find(rest[:n]) {
			if h.Sense != lexicon.Part {
				continue
			}
			next := at
			next.used, next.words, next.cost = at.used+n, at.words+n, at.cost+h.Cost
			next.bag = withParts(at.bag, h.Code)
			if u, _, ok := d.whole(lexicon.Unit, rest[:n]); ok {
				next.unit = u
			}
			d.walk(toks, next, out)
			found = true
		}
		if found {
			return true
		}
	}
	return false
}

// crosses reports whether a run of n tokens goes over a mark or a wide gap.
func crosses(toks []token, n int) bool {
	for i := 1; i < n; i++ {
		if toks[i-1].delim != 0 || starts(toks, i) {
			return true
		}
	}
	return false
}

func (d *doc) filler(t token) (float64, bool) {
	for _, h := range d.find([]token{t}) {
		if h.Sense == lexicon.Filler {
			return h.Cost, true
		}
	}
	return 0, false
}

// field finds what a set of parts names in a kind of record; the header's own
// fields are found in every kind.
func (d *doc) field(k record.Kind, bag string) (string, bool) {
	t := labelTables()
	if f, ok := t.fields[k][bag]; ok {
		return f, true
	}
	if d.qualifier != "" {
		if f, ok := t.fields[k][withPart(bag, t.parts[d.qualifier])]; ok {
			return f, true
		}
	}
	if f, ok := t.fields[headKind][bag]; ok && k == "" {
		return "header." + f, true
	}
	if f, ok := t.fields[headerKind][bag]; ok {
		return "header." + f, true
	}
	return "", false
}

// fieldOf finds what a label names whose unit may say more than its words:
// WATER, L is the volume of the water, START, C its temperature. The spec says
// what the value must be. A word too many in a label is passed over at a price
// when the others name one field only.
func (d *doc) fieldOf(k record.Kind, bag, unit string) (field string, spec record.FieldSpec, cost float64, ok bool) {
	key := fieldKey{k, bag, unit, d.qualifier}
	if a, done := d.fields[key]; done {
		return a.field, a.spec, a.cost, a.ok
	}
	field, spec, cost, ok = d.fieldOfAnew(k, bag, unit)
	d.fields[key] = fieldAnswer{field, spec, cost, ok}
	return field, spec, cost, ok
}

// fieldKey says which label was looked up; fieldAnswer what it names.
type fieldKey struct {
	kind                 record.Kind
	bag, unit, qualifier string
}

type fieldAnswer struct {
	field string
	spec  record.FieldSpec
	cost  float64
	ok    bool
}

// fieldOfAnew is fieldOf without a memory.
func (d *doc) fieldOfAnew(k record.Kind, bag, unit string) (field string, spec record.FieldSpec, cost float64, ok bool) {
	q := quantityOf(unitCodes[unit])
	fits := func(b string) bool {
		f, found := d.field(k, b)
		s, known := specOf(k, f)
		if !found || !known || q != record.Plain && (s.Type != record.Number || s.Quantity != q) {
			return false
		}
		field, spec = f, s
		return true
	}
	part := quantityPart[q]
	if unit == "percent" {
		part = unit
	}
	switch {
	case bag == "":
		return "", spec, 0, false
	case fits(bag):
		return field, spec, 0, true
	case part != "" && fits(withPart(bag, labelTables().parts[part])):
		return field, spec, 0, true
	}
	if f, found := d.field(k, bag); found {
		if s, known := specOf(k, f); known && (s.Type != record.Number || s.Quantity == record.Plain) {
			return f, s, 0, true
		}
		return "", spec, 0, false
	}
	found := map[string]record.FieldSpec{}
	for i := range bag {
		less := bag[:i] + bag[i+1:]
		if less != "" && (fits(less) || part != "" && fits(withPart(less, labelTables().parts[part]))) {
			found[field] = spec
		}
	}
	if len(found) != 1 || isHeader(field) {
		return "", spec, 0, false
	}
	for f, s := range found {
		field, spec = f, s
	}
	return field, spec, wordTooMany, true
}

// wordTooMany is what it costs that a label has a word more than the name of
// its field; it is more than a label that is sure may cost.
const wordTooMany = 0.5

// quantityPart names the part that a unit's quantity stands for in a label.
var quantityPart = map[record.Quantity]string{
	record.Volume: "volume", record.Length: "height", record.Temperature: "temperature", record.Rate: "rate", record.Pressure: "pressure", record.Hours: "duration",
}
