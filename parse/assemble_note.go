package parse

import "tankroll/record"

// foldNotes puts what a line below the records says again of one of them, or of how it
// ended, with that record: TANK 4 ABORTED: SALE DURING TEST.
func foldNotes(drafts []*draft) []*draft {
	var out []*draft
	for _, dr := range drafts {
		if to := noteOf(dr, out); to != nil {
			for _, f := range dr.facts {
				if f.field == "result" && !to.has("result") {
					to.put(f)
				} else if !f.inherited {
					to.again = append(to.again, f)
				}
			}
			continue
		}
		out = append(out, dr)
	}
	return out
}

// noteOf is the record that a draft is a note of, nil for none: the last of its name, which
// says more and not another result.
func noteOf(dr *draft, above []*draft) *draft {
	if dr.kind != record.TankTest && dr.kind != record.LineTest {
		return nil
	}
	own := ownName(dr.kind)
	result, named := any(nil), any(nil)
	for _, f := range dr.facts {
		switch {
		case f.inherited || f.field == "":
		case f.field == own:
			named = f.read.value
		case f.field == "result":
			result = f.read.value
		case f.field != "product":
			return nil
		}
	}
	if named == nil || result == nil {
		return nil
	}
	for i := len(above) - 1; i >= 0; i-- {
		same, says, other := false, 0, false
		for _, f := range above[i].facts {
			same = same || f.field == own && f.read.value == named && !f.inherited
			other = other || f.field == "result" && f.read.value != result
			if !f.inherited && f.field != own && f.field != "product" && f.field != "result" {
				says++
			}
		}
		if same && above[i].kind == dr.kind {
			if other || says == 0 {
				return nil
			}
			return above[i]
		}
	}
	return nil
}
