package parse

import (
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// severalCodes reports whether one of several words that were taken for a code means
// another, where they are no phrase that is known: SET ACK.
func (d *doc) severalCodes(k record.Kind, field string, r reading) bool {
	sense := senseOf(k, field)
	if len(r.toks) < 2 || sense == "" || sense == lexicon.Grade || sense == lexicon.Device {
		return false
	}
	if _, ok := d.lex.Knows(sense, phraseOf(r.toks)); ok {
		return false
	}
	states := 0
	for i := range r.toks {
		if _, cost, ok := d.whole(sense, r.toks[i:i+1]); ok && cost == 0 {
			states++
		}
	}
	return states > 1
}

// otherClass is the rate of a test that stands before the label of a summary's count or
// pass, where it is not that of the summary; "" for none.
func (d *doc) otherClass(b *built, f *fact) string {
	if b.rec.Kind != record.LineSummary && b.rec.Kind != record.LineTest || len(f.label) == 0 || f.read.class != "" {
		return ""
	}
	at, l, ok := d.where(f.label, nil)
	end := min(len(l.toks), at+len(f.label))
	for i := 0; ok && i < end; i++ {
		if t := l.toks[i]; i >= at && !strings.HasSuffix(t.norm, "ly") && t.norm != "annual" {
			continue // month is of the first pass of the month
		}
		c, cost, n := d.code(lexicon.TestClass, l.toks[i:end])
		if own := b.rec.Text("test_class"); n > 0 && cost == 0 && own != "" && c != own {
			return c
		}
	}
	return ""
}
