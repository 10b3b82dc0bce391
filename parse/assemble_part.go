package parse

import "tankroll/record"

// partUllage leaves out the room up to a part of the tank where the record has the whole
// room as well: 90% ULLAGE beside ULLAGE.
func partUllage(r *reads) {
	if r.kind != record.Inventory {
		return
	}
	const near = 3 // entries between the two at most
	for i, e := range r.entries {
		at := indexPartUllage(e.facts)
		if at < 0 {
			continue
		}
		if wholeUllage(e.facts) || r.ullageBeside(i, near, 1) || r.ullageBeside(i, near, -1) {
			r.entries[i].facts = append(e.facts[:at:at], e.facts[at+1:]...)
		}
	}
}

// ullageBeside reports whether the whole room of the same tank stands within some entries
// above or below.
func (r *reads) ullageBeside(i, near, step int) bool {
	for n := 1; n <= near; n++ {
		j := i + n*step
		if j < 0 || j >= len(r.entries) || r.entries[i].row || r.entries[j].row {
			return false
		}
		if step > 0 && hasField(r.entries[j].facts, "tank") {
			return false
		}
		if wholeUllage(r.entries[j].facts) {
			return true
		}
		if step < 0 && hasField(r.entries[j].facts, "tank") {
			return false
		}
	}
	return false
}

// indexPartUllage is which fact is the room up to a part of the tank, -1 for none.
func indexPartUllage(facts []fact) int {
	for i, f := range facts {
		if f.field == "ullage" && ofPart(f.label) {
			return i
		}
	}
	return -1
}

// wholeUllage reports whether facts have the whole room of a tank.
func wholeUllage(facts []fact) bool {
	for _, f := range facts {
		if f.field == "ullage" && len(f.label) > 0 && !ofPart(f.label) {
			return true
		}
	}
	return false
}

// ofPart reports whether a label has a share in it.
func ofPart(label []token) bool {
	for _, t := range label {
		if t.norm == "%" || t.norm == "pct" || t.norm == "percent" {
			return true
		}
	}
	return false
}
