package comply

import (
	"cmp"
	"maps"
	"slices"

	"tankroll/record"
)

// Keep is how long a law wants records of a kind kept.
type Keep struct {
	Years     int    // from the day that the record speaks of; 0 when the law as known here names no time
	UntilNext bool   // and until the next test of the same kind, however long that takes
	Source    string // the rule
}

// keepSource is the federal rule on records of release detection.
const keepSource = "40 CFR 280.45"

// FederalKeep is the federal rule for a record: results of sampling, testing or
// monitoring for at least a year, those of a tank tightness test (0.1 gal/h, 40 CFR
// 280.43(c)) until the next. Deliveries count as part of inventory control. Of what
// the console is set to no rule speaks.
func FederalKeep(k record.Kind, class string) Keep {
	switch {
	case k == record.TankLimits:
		return Keep{}
	case k == record.TankTest && class == "0.1":
		return Keep{Years: 1, UntilNext: true, Source: keepSource}
	}
	return Keep{Years: 1, Source: keepSource}
}

// LongerKeeps are states that are known to want records of release detection
// longer, in years. A state that is missing may want so too.
func LongerKeeps() map[string]Keep {
	return map[string]Keep{
		"FL": {Years: 3, Source: "Fla. Admin. Code 62-761.710"},
		"MA": {Years: 4, Source: "310 CMR 80.36"},
	}
}

// Held is how old the records of one kind at one site are.
type Held struct {
	Site    string      `json:"site"`
	Kind    record.Kind `json:"kind"`
	Count   int         `json:"count"`
	Oldest  Date        `json:"oldest"` // "" when no date is known
	Newest  Date        `json:"newest"`
	Unsure  int         `json:"unsure"`           // have no date, or a doubtful one: never counted as past
	Years   int         `json:"years"`            // that the rule names; 0 for none
	Past    int         `json:"past"`             // are older than the rule wants them kept
	PastIDs []string    `json:"past_ids"`         // which
	Source  string      `json:"source,omitempty"` // the rule
}

// Retention adds up how old records are. It says what a rule no longer asks for
// and decides nothing: no record ever goes because of it. The zero Retention with
// its fields set is ready.
type Retention struct {
	Today Date
	Years int // instead of those of the federal rule, for a state that wants longer; 0 for the federal rule

	held map[heldKey]*Held
	last map[[2]string]aged // tightness tests that none has followed yet, by site and tank
}

type heldKey struct {
	site string
	kind record.Kind
}

type aged struct {
	id string
	at Date
}

// Add adds a record. Records come in the order of the time that they speak of,
// those without a time first.
func (n *Retention) Add(id, site string, r record.Record, h record.Header) {
	if n.held == nil {
		n.held, n.last = map[heldKey]*Held{}, map[[2]string]aged{}
	}
	class := r.Text("test_class")
	keep := FederalKeep(r.Kind, class)
	if n.Years > 0 && keep.Years > 0 {
		keep.Years, keep.Source = n.Years, "as asked for"
	}
	key := heldKey{site, r.Kind}
	e := n.held[key]
	if e == nil {
		e = &Held{Site: site, Kind: r.Kind, Years: keep.Years, Source: keep.Source, PastIDs: []string{}}
		n.held[key] = e
	}
	e.Count++
	text, field := r.At(h)
	at, err := ParseDate(text)
	if err != nil {
		e.Unsure++
		return
	}
	if e.Oldest.IsZero() || at.Before(e.Oldest) {
		e.Oldest = at
	}
	if e.Newest.Before(at) {
		e.Newest = at
	}
	if !sureAt(r, h, field) {
		e.Unsure++
		return
	}
	if !keep.UntilNext {
		n.past(e, aged{id, at}, keep.Years)
		return
	}
	// Only a sure and conclusive test of the same tank stands in place of the one
	// before.
	if tank := r.Text("tank"); tank != "" && sureField(r, "tank") && sureField(r, "result") && sureField(r, "test_class") &&
		slices.Contains([]string{"pass", "fail"}, r.Text("result")) {
		if before, ok := n.last[[2]string{site, tank}]; ok {
			n.past(e, before, keep.Years)
		}
		n.last[[2]string{site, tank}] = aged{id, at}
	}
}

// past counts a record when it is older than so many years.
func (n *Retention) past(e *Held, a aged, years int) {
	if years > 0 && dateOf(a.at.noon().AddDate(years, 0, 0)).Before(n.Today) {
		e.Past++
		e.PastIDs = append(e.PastIDs, a.id)
	}
}

// sureAt reports whether nothing is in doubt about the day of a record.
func sureAt(r record.Record, h record.Header, field string) bool {
	if field == "printed_at" {
		return h.PrintedAt.Sure
	}
	return sureField(r, field)
}

// Sum is what was added up, by site and kind.
func (n *Retention) Sum() []Held {
	var out []Held
	for _, e := range n.held {
		out = append(out, *e)
	}
	order := map[record.Kind]int{}
	for i, k := range record.Kinds() {
		order[k] = i
	}
	slices.SortFunc(out, func(a, b Held) int {
		return cmp.Or(cmp.Compare(a.Site, b.Site), cmp.Compare(order[a.Kind], order[b.Kind]))
	})
	return out
}

// LongerStates lists the states of LongerKeeps in order.
func LongerStates() []string { return slices.Sorted(maps.Keys(LongerKeeps())) }
