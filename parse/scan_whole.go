package parse

import "tankroll/record"

// wholes tries an amount behind OF and the amount that is a part of it: what is in the tank, or
// room in it, of all that it holds.
//
//	VOLUME 5120 GAL OF 10000 GAL        ULLAGE 14 054 L OF 37 854 L
func (s *scanner) wholes(i int, try *ways) {
	if s.kind != record.Inventory || s.toks[i].norm != "of" || i < 2 || i+1 >= len(s.toks) || starts(s.toks, i) || !s.toks[i+1].number || s.toks[i-1].stop != 0 {
		return
	}
	from := i - 1
	if !s.toks[from].number {
		from--
	}
	part, ok := s.d.readNumber(record.Volume, s.toks[from:i], "")
	if !ok || part.used != i-from {
		return
	}
	r, ok := s.d.readNumber(record.Volume, s.toks[i+1:], "")
	if !ok || r.unitFrom != unitBeside || part.unitFrom == unitBeside && part.unit != r.unit || part.num.Value > r.num.Value {
		return
	}
	try.with(1+r.used, float64(1+r.used)*wordWorth+factWorth, fact{field: "capacity", read: r, label: s.toks[i : i+1], printed: true})
}
