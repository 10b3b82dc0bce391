package parse

import (
	"slices"

	"tankroll/record"
)

// waterBeside takes an amount on the line of the water's for the water's too, where the tank has
// such an amount of its own on another line:
//
//	Stock 23,800 L, dip 1,467 mm
//	Water 50 L, dip 30 mm
func waterBeside(r reads) {
	if r.kind != record.Inventory {
		return
	}
	own := map[string]bool{} // what the tank has on lines above
	for i := range r.entries {
		facts := r.entries[i].facts
		if r.entries[i].row || hasField(facts, ownName(r.kind)) {
			clear(own)
		}
		for k := 1; k < len(facts); k++ {
			if f := &facts[k]; facts[k-1].field == waterPartner[f.field] && own[f.field] && len(f.label) > 0 && besideEachOther(facts[k-1], *f) && !hasField(facts, "water_"+f.field) {
				f.field = "water_" + f.field
			}
		}
		for _, f := range facts {
			if f.field == "height" || f.field == "volume" {
				own[f.field] = true
			}
		}
	}
}

// waterPartner is what of the water may stand before its other amount.
var waterPartner = map[string]string{"height": "water_volume", "volume": "water_height"}

// besideEachOther reports whether the second of two facts stands right behind the first on its
// line.
func besideEachOther(a, b fact) bool {
	if len(a.read.toks) == 0 || len(b.label) == 0 {
		return false
	}
	last := slices.MaxFunc(a.read.toks, func(x, y token) int { return x.at - y.at })
	return last.line == b.label[0].line && b.label[0].at > last.at && b.label[0].at <= last.at+2 // its unit may be between
}
