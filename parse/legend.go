package parse

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
)

// A slip may say once which product is in which tank, away from the records:
//
//	legend = { [ thing ] number [ mark ] product }     1=REG  2=SUP  3=DSL
//	                                                   1 REGULAR 91
//	                                                   2 DIESEL
//
// Lines of nothing else that stand together are one legend.

// legendProducts gives the products of legends to the records of those numbers that have none.
func (d *doc) legendProducts(drafts []*draft) {
	if !slices.ContainsFunc(drafts, lacksProduct) {
		return
	}
	placed := d.newPlaces()
	for _, dr := range drafts {
		for i := range dr.facts {
			if f := &dr.facts[i]; !f.inherited && !dr.namesAlone(f) {
				markPlaced(placed, f)
			}
		}
	}
	for i := 0; i < len(d.lines); {
		to := i
		var said []fact
		for to < len(d.lines) {
			more := d.legendLine(d.lines[to].toks, placed)
			if more == nil {
				break
			}
			said = append(said, more...)
			to++
		}
		if i = max(i+1, to); d.isLegend(said, drafts) {
			give(said, drafts)
			return
		}
	}
}

// namesAlone reports whether a fact of a draft names its thing or its product on a line that
// says nothing else of it: what stands there may be a legend for the records below it too.
func (dr *draft) namesAlone(f *fact) bool {
	names := func(o *fact) bool {
		return o.field == ownName(dr.kind) || o.field == "product" || o.field == ""
	}
	if !names(f) || len(f.read.toks) == 0 {
		return false
	}
	for i := range dr.facts {
		if o := &dr.facts[i]; !names(o) && len(o.read.toks) > 0 && o.read.toks[0].line == f.read.toks[0].line {
			return false
		}
	}
	return true
}

// lacksProduct reports whether a record of a numbered tank or line has no product.
func lacksProduct(dr *draft) bool {
	own := ownName(dr.kind)
	return (own == "tank" || own == "line") && fieldsOf[dr.kind].product && dr.hasOwn(own) && !dr.has("product")
}

// legendLine reads a line of a legend: for each entry the product, with the number for its
// label; nil when the line holds anything else.
func (d *doc) legendLine(toks []token, placed placeSet) []fact {
	if len(toks) > 1 && !hasDigit(toks[0].text) && toks[0].delim == ':' {
		toks = toks[1:] // TANKS: 1=UNLEADED 2=DIESEL
	}
	var out []fact
	for len(toks) > 0 {
		n := 0
		if d.isDevice(toks[0]) && len(toks) > 1 {
			n = 1
		}
		if _, _, ok := legendNumber(toks[n]); !ok || placed.has(toks[n].at) {
			return nil
		}
		end := n + 1
		for end < len(toks) && (end == n+1 || !d.nextEntry(toks, end)) {
			end++
		}
		product := toks[n+1 : end]
		if len(product) == 0 || len(product) > 4 || product[0].number || !strings.ContainsAny(textOf(product), letters) || slices.ContainsFunc(product, func(t token) bool { return t.blank || t.delim != 0 || placed.has(t.at) }) {
			return nil
		}
		f := productFact(product, 0)
		_, cost, known := d.grade(product)
		if f.read.cost = cost; !known {
			f.read.cost = unknownGrade
		}
		f.label, f.printed, f.weak, f.inherited = toks[:n+1], true, false, true
		out, toks = append(out, f), toks[end:]
	}
	return out
}

// nextEntry reports whether the next entry of a legend begins at token j: a number with its mark,
// its letter or the word for what it is of, or one that begins a cell.
func (d *doc) nextEntry(toks []token, j int) bool {
	if d.isDevice(toks[j]) && j+1 < len(toks) && plainDigits(toks[j+1].text, 1, 2) {
		return true
	}
	prefix, _, ok := legendNumber(toks[j])
	return ok && (toks[j].delim != 0 || prefix != "" || starts(toks, j))
}

// legendNumber is the number of a tank or line that a token is, with its letter.
func legendNumber(t token) (prefix, number string, ok bool) {
	prefix, number, fixed, ok := splitIdent(t.text)
	return prefix, number, ok && fixed == 0 && plainDigits(number, 1, 2) && (prefix == "" || identPrefixes[prefix] == "tank" || identPrefixes[prefix] == "line") && !strings.ContainsAny(t.text, ".+-")
}

// isLegend reports whether entries are a legend for records: several, each number once, most
// of the products known, and one for each record that lacks its product.
func (d *doc) isLegend(said []fact, drafts []*draft) bool {
	const fewest = 2
	if len(said) < fewest {
		return false
	}
	known := 0
	byNumber := map[string]bool{}
	for _, f := range said {
		_, number, _ := legendNumber(f.label[len(f.label)-1])
		if byNumber[number] || slices.ContainsFunc(f.read.toks, func(t token) bool {
			return !d.spelt(t, lexicon.Grade) && (d.spelt(t, lexicon.Part) || d.spelt(t, lexicon.Result) || d.spelt(t, lexicon.SensorState) || d.spelt(t, lexicon.AlarmState))
		}) {
			return false
		}
		byNumber[number] = true
		if f.read.cost == 0 {
			known++
		}
	}
	if known*2 < len(said) {
		return false
	}
	return !slices.ContainsFunc(drafts, func(dr *draft) bool { return lacksProduct(dr) && !byNumber[dr.ownText()] })
}

// ownText is the number of the tank or line that a draft is of, "" for none.
func (dr *draft) ownText() string {
	for _, f := range dr.facts {
		if s, ok := f.read.value.(string); ok && f.field == ownName(dr.kind) {
			return s
		}
	}
	return ""
}

// give gives each record that lacks one the product of its number.
func give(said []fact, drafts []*draft) {
	for _, dr := range drafts {
		if !lacksProduct(dr) {
			continue
		}
		for _, f := range said {
			if _, number, _ := legendNumber(f.label[len(f.label)-1]); number == dr.ownText() {
				dr.facts = append(dr.facts, f)
			}
		}
	}
}
