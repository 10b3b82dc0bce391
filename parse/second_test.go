package parse

import (
	"testing"

	"tankroll/record"
)

// TestGiveBack: a fact that gave way for a claim comes back, with its record, where nothing came of the
// claim, and does not where its words have another place now.
func TestGiveBack(t *testing.T) {
	s := Typed("DELIVERY\nTANK 2\nAMOUNT 4,100 GAL\n")[0]
	d := newDoc(s, Hints{})
	d.second = d.readSecond(s)
	fact := fact{field: "delivered", read: reading{used: 1, toks: d.lines[2].toks[1:2], value: 4100.0}}
	for name, c := range map[string]struct {
		others []*draft
		back   bool
	}{
		"nothing came of it": {nil, true},
		"another has it":     {[]*draft{{kind: record.Inventory, facts: append(newDraft(record.Inventory, 2).facts, fact)}}, false},
	} {
		from := newDraft(record.Delivery, 1)
		got := d.giveBack([]given{{from, fact}}, c.others, &head{})
		if back := len(got) == len(c.others)+1; back != c.back || from.has("delivered") != c.back {
			t.Errorf("%s: came back %v, want %v", name, back, c.back)
		}
	}
}
