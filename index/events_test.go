package index

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tankroll/archive"
)

// eventsOf keeps one record of each event: what is photographed twice counts once.
func eventsOf(rows []archive.Row) []archive.Row {
	type event struct{ key, slip string }
	nth := map[event]int{}
	best := map[string]archive.Row{}
	for _, r := range rows { // in order of their ids
		f := func(name string) string { s, _ := r.Record.Fields[name].Value.(string); return s }
		equipment := ""
		for _, name := range []string{"tank", "line", "sensor"} {
			if f(name) != "" && equipment == "" {
				equipment = name + f(name)
			}
		}
		if equipment == "" && f("device") != "" {
			equipment = f("device") + f("device_number")
		}
		key := r.ID
		if r.Site != "" && r.At != "" && equipment != "" {
			e := event{strings.Join([]string{string(r.Record.Kind), r.Site, r.At, equipment, f("test_class"), f("result"), f("state"), f("event")}, "|"), fmt.Sprint(r.Capture, r.Page, r.Slip)}
			key = fmt.Sprint(e.key, nth[e])
			nth[e]++
		}
		b, ok := best[key]
		if !ok || r.Confirmed && !b.Confirmed || r.Confirmed == b.Confirmed && (r.Sure() && !b.Sure() || r.Sure() == b.Sure() && !r.ByHand && b.ByHand) {
			best[key] = r
		}
	}
	var out []archive.Row
	for _, r := range best {
		out = append(out, r)
	}
	slices.SortFunc(out, func(a, b archive.Row) int {
		return cmp.Or(cmp.Compare(len(a.ID), len(b.ID)), strings.Compare(a.ID, b.ID))
	})
	return out
}

func newestOf(rows []archive.Row, by func(archive.Row) string) map[string]archive.Row {
	out := map[string]archive.Row{}
	for _, r := range rows {
		if b, ok := out[by(r)]; by(r) != "" && (!ok || r.At > b.At) {
			out[by(r)] = r
		}
	}
	return out
}
