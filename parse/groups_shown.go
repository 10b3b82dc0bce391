package parse

import (
	"strings"

	"tankroll/record"
)

// showsGroups reports whether amounts of one field show that a mark before three figures parts
// thousands: some are written so, and some of three figures without a mark. No console
// prints three decimals of 1.903 and none of the 868 below it.
func showsGroups(all []*built) bool {
	type amounts struct {
		kind  record.Kind
		field string
	}
	parted, whole := map[amounts]bool{}, map[amounts]bool{}
	for _, b := range all {
		for name, f := range b.reads {
			if specs[b.rec.Kind][name].Type != record.Number || len(f.read.toks) != 1 {
				continue
			}
			a := amounts{b.rec.Kind, name}
			switch n := f.read.num; {
			case len(n.Others) == 1 && n.Decimals == 0:
				parted[a] = true
			case len(n.Others) == 0 && n.Decimals == 0 && plainDigits(strings.TrimLeft(f.read.toks[0].text, "+-"), 3, 3) && f.read.toks[0].conf >= clearPrint:
				whole[a] = true
			}
			if parted[a] && whole[a] {
				return true
			}
		}
	}
	return false
}
