package parse

import (
	"maps"
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
	names  map[record.Kind]map[string]string // fields, and those of the header with that before their names
}

// labelTables is made once from the default lexicon's patterns.
var labelTables = sync.OnceValue(func() *labelTable {
	t := &labelTable{map[string]byte{}, map[record.Kind]map[string]string{}, map[record.Kind]map[string]string{}}
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
	for _, k := range append(record.Kinds(), "", headerKind, headKind) {
		t.names[k] = map[string]string{}
		for _, of := range []record.Kind{headerKind, headKind} { // the last stands
			for bag, f := range t.fields[of] {
				if of == headerKind || k == "" {
					t.names[k][bag] = "header." + f
				}
			}
		}
		maps.Copy(t.names[k], t.fields[k])
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

// withBag adds all parts of another set.
func withBag(bag, more string) string {
	for i := range len(more) {
		bag = withPart(bag, more[i])
	}
	return bag
}

// withoutPart takes a part out of a set of parts.
func withoutPart(bag string, part byte) string {
	i := strings.IndexByte(bag, part)
	if i < 0 {
		return bag
	}
	return bag[:i] + bag[i+1:]
}

// withParts adds what a word stands for: one part, or several as in
// water+volume.
func withParts(bag, code string) string {
	for p := range strings.SplitSeq(code, "+") {
		bag = withPart(bag, labelTables().parts[p])
	}
	return bag
}

// The sets of parts that are asked for at every word.
var (
	testBag     = sync.OnceValue(func() string { return bagOf("test") })
	leakTestBag = sync.OnceValue(func() string { return bagOf("leak", "test") })
	grossBag    = sync.OnceValue(func() string { return bagOf("gross") })
	numberBag   = sync.OnceValue(func() string { return bagOf("number") })
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
		for a := m.names; a != nil; a = a.before {
			if a.is.key == key {
				return a.is.names
			}
		}
	}
	out = d.namesAnew(toks)
	if ok && m != nil {
		d.kept.names.keep(&m.names, namesAnswer{key, out})
	}
	return out
}

// namesAnew is names without a memory.
func (d *doc) namesAnew(toks []token) []name {
	out := d.nameRoom[:0]
	d.walk(toks, name{}, &out)
	d.nameRoom = out
	return slices.Clone(out)
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
	if n := d.shareNote(toks[j:]); n > 0 && j+n < len(toks) && (toks[j+n-1].delim != 0 || toks[j+n].number) {
		next := at
		next.used = j + n
		d.walk(toks, next, out)
	}
	if _, ok := d.filler(t); ok {
		next := at
		next.used, next.cost = j+1, at.cost+0.05
		d.walk(toks, next, out)
	}
}

// walkParts goes on with the longest part that stands here, in each of its
// meanings, and with shorter ones where that is not spelt exactly.
func (d *doc) walkParts(toks []token, at name, out *[]name) bool {
	rest := toks[at.used:]
	most := min(d.maxWords(&rest[0]), len(rest))
	found, exact := false, false
	for n := most; n > 0; n-- {
		if crosses(rest, n) {
			continue
		}
		for _, h := range d.find(rest[:n]) {
			if h.Sense != lexicon.Part {
				continue
			}
			exact = exact || h.Cost == 0
			next := at
			next.used, next.words, next.cost = at.used+n, at.words+n, at.cost+h.Cost
			next.bag = withParts(at.bag, h.Code)
			if u, _, ok := d.whole(lexicon.Unit, rest[:n]); ok && h.Code != "low" {
				next.unit = u // but not of MIN
			}
			d.walk(toks, next, out)
			found = true
		}
		if found && (exact && !(n > 1 && rest[n-1].norm == "in") || n == 1) {
			return true // FUEL IN may be how much fuel there is, in inches
		}
	}
	return found
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
	if t.letter {
		return 0, false
	}
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
	if d.qualifier != "" {
		if f, ok := t.fields[k][bag]; ok && bag != grossBag() {
			return f, true
		}
		if f, ok := t.fields[k][withPart(bag, t.parts[d.qualifier])]; ok {
			return f, true
		}
	}
	f, ok := t.names[k][bag]
	return f, ok
}

// namesField reports whether a set of parts names a field of a kind without what stands
// above it.
func (d *doc) namesField(k record.Kind, bag string) bool {
	_, ok := labelTables().fields[k][bag]
	return ok
}

// wordTooMany is what it costs that a label has a word more than the name of
// its field; it is more than a label that is sure may cost.
const wordTooMany = 0.5

// quantityPart names the part that a unit's quantity stands for in a label.
var quantityPart = map[record.Quantity]string{
	record.Volume: "volume", record.Length: "height", record.Temperature: "temperature", record.Rate: "rate", record.Pressure: "pressure", record.Hours: "duration",
}
