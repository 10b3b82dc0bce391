package parse

import (
	"slices"

	"tankroll/parse/tagger"
	"tankroll/record"
)

// group is what the second reading takes for one record: its own claims, and those that stand for
// several records.
type group struct {
	own, shared []claim
}

// ownRecords are the records as the second reading alone sees them.
func (d *doc) ownRecords(claims []claim) []*draft {
	var out []*draft
	for _, g := range d.groups(claims) {
		out = append(out, d.recordsOf(g)...)
	}
	return out
}

// groups puts claims together that are of one record, in parts so that the work has an end.
func (d *doc) groups(claims []claim) []group {
	var out []group
	for part := range slices.Chunk(d.joinWrapped(claims), mostClaims) {
		groups := d.groupsOf(part)
		d.share(groups, part)
		out = append(out, groups...)
	}
	return out
}

// recordsOf makes the draft of a group, of a summary with the tests that it tells of; none where too
// little is its own.
func (d *doc) recordsOf(g group) []*draft {
	dr := newDraft(record.Kind(g.own[0].tag.Kind), d.second.words[g.own[0].words[0]].Line)
	for _, f := range d.factsOf(g.own, false) {
		dr.put(f)
	}
	if len(dr.facts) < fewestFields {
		return nil
	}
	for _, f := range d.factsOf(g.shared, true) {
		dr.put(f)
	}
	if !dr.substance() {
		return nil
	}
	dr.doubt = guessedRecord
	out := []*draft{dr}
	if dr.kind == record.LineSummary {
		out = append(out, dr.passes()...)
	}
	return out
}

// factsOf reads the values of claims for a guessed record, whose doubt says that they are guessed.
func (d *doc) factsOf(claims []claim, shared bool) []fact {
	var out []fact
	for _, c := range claims {
		if f, ok := d.factOf(c); ok {
			f.guess, f.inherited = "", shared
			out = append(out, f)
		}
	}
	return out
}

// adopt puts what is claimed for a group into the draft that is of the same tank, line or sensor and has
// none of it; false where there is none, or more than one.
func (d *doc) adopt(g group, drafts []*draft) bool {
	kind := record.Kind(g.own[0].tag.Kind)
	own, shared := d.factsOf(g.own, false), d.factsOf(g.shared, true)
	name := func(facts []fact) any {
		for _, f := range facts {
			if f.field == ownName(kind) {
				return f.read.value
			}
		}
		return nil
	}
	of := name(append(own[:len(own):len(own)], shared...))
	if of == nil {
		return false
	}
	var to *draft
	for _, dr := range drafts {
		if dr.kind != kind || name(dr.facts) != of || slices.ContainsFunc(own, func(f fact) bool { return f.field != ownName(kind) && dr.has(f.field) }) {
			continue
		}
		if to != nil {
			return false
		}
		to = dr
	}
	if to == nil {
		return false
	}
	to.takeGuesses(own)
	return true
}

// joinWrapped puts claims of words together that go on on the next line, below where they began.
func (d *doc) joinWrapped(claims []claim) []claim {
	const furthest = 2 // lines
	s := d.second
	var out []claim
	for _, c := range claims {
		spec, ok := specOf(record.Kind(c.tag.Kind), c.tag.Field)
		if !ok || spec.Type != record.Label {
			out = append(out, c)
			continue
		}
		first := c.words[0]
		at := slices.IndexFunc(out, func(o claim) bool {
			last := o.words[len(o.words)-1]
			under := s.words[first].Line - s.words[last].Line
			return o.tag == c.tag && under > 0 && under <= furthest &&
				s.edges[first][0] < s.edges[last][1]+wideGap && s.edges[first][1] > s.edges[o.words[0]][0]-wideGap &&
				s.tags.Same(o.words[0], first) > likelySame && s.tags.Same(last, first) > likelySame
		})
		if at < 0 {
			out = append(out, c)
			continue
		}
		o := &out[at]
		n, m := float64(len(o.words)), float64(len(c.words))
		o.p = (o.p*n + c.p*m) / (n + m)
		o.words, o.toks = append(o.words, c.words...), append(o.toks, c.toks...)
	}
	return out
}

// groupsOf puts claims together that most likely are of one record, which has a field once.
func (d *doc) groupsOf(claims []claim) []group {
	n := len(claims)
	same, may := make([][]float64, n), make([][]bool, n)
	for i := range n {
		same[i], may[i] = make([]float64, n), make([]bool, n)
		for j := range i {
			x, y := claims[i], claims[j]
			same[i][j] = d.second.tags.Same(x.words[0], y.words[0])
			may[i][j] = x.tag.Kind == y.tag.Kind && (x.tag != y.tag || d.dateAndClock(x, y))
			same[j][i], may[j][i] = same[i][j], may[i][j]
		}
	}
	members := clusters(same, may)
	absorb(claims, members, same)
	var out []group
	for _, m := range members {
		if m == nil {
			continue
		}
		slices.Sort(m)
		var g group
		for _, i := range m {
			g.own = append(g.own, claims[i])
		}
		out = append(out, g)
	}
	return out
}

// clusters puts together what is likely of one record, given how likely any two are the same and whether
// they may be: first the two groups that are the likeliest by the mean over their pairs, until none are
// likely. A group that went into another is nil.
func clusters(same [][]float64, may [][]bool) [][]int {
	n := len(same)
	members := make([][]int, n)
	sum := make([][]float64, n) // of two groups' pairs; below zero where they cannot be one
	for i := range n {
		members[i], sum[i] = []int{i}, slices.Clone(same[i])
		for j := range n {
			if !may[i][j] {
				sum[i][j] = -1
			}
		}
	}
	for {
		x, y, most := 0, 0, likelySame
		for i := range n {
			for j := range i {
				if members[i] == nil || members[j] == nil || sum[i][j] < 0 {
					continue
				}
				if p := sum[i][j] / float64(len(members[i])*len(members[j])); p > most {
					x, y, most = i, j, p
				}
			}
		}
		if most == likelySame {
			return members
		}
		members[y], members[x] = append(members[y], members[x]...), nil
		for k := range n {
			if sum[k][x] < 0 || sum[k][y] < 0 {
				sum[k][y] = -1
			} else {
				sum[k][y] += sum[k][x]
			}
			sum[y][k] = sum[k][y]
		}
	}
}

// absorb gives groups that are parted from a larger one only by what both claim, and that is of one
// record, to that one: they say once more what it has.
func absorb(claims []claim, members [][]int, same [][]float64) {
	likely := func(a, b []int) float64 {
		sum, n := 0.0, 0.0
		for _, i := range a {
			for _, j := range b {
				if claims[i].tag == claims[j].tag {
					sum, n = sum+same[i][j], n+1
				}
			}
		}
		return sum / max(n, 1)
	}
	for x, a := range members {
		best, most := -1, likelySame
		for y, b := range members {
			if y == x || len(a) == 0 || len(b) < len(a) || claims[a[0]].tag.Kind != claims[b[0]].tag.Kind {
				continue
			}
			if p := likely(a, b); p > most {
				best, most = y, p
			}
		}
		if best < 0 {
			continue
		}
		for _, i := range a {
			if !slices.ContainsFunc(members[best], func(j int) bool { return claims[j].tag == claims[i].tag }) {
				members[best] = append(members[best], i)
			}
		}
		members[x] = nil
	}
}

// share gives groups what they lack and is claimed for them and others together.
func (d *doc) share(groups []group, claims []claim) {
	for i := range groups {
		g := &groups[i]
		for _, c := range claims {
			if c.tag.Kind != g.own[0].tag.Kind || !mayBeShared(c.tag) {
				continue
			}
			lacks := func(o claim) bool { return o.tag != c.tag || d.dateAndClock(o, c) }
			all := func(some []claim) bool { return !slices.ContainsFunc(some, func(o claim) bool { return !lacks(o) }) }
			if all(g.own) && all(g.shared) && d.likelyWith(c, g.own) > likelySame {
				g.shared = append(g.shared, c)
			}
		}
	}
}

// mayBeShared reports whether a value of a field can stand for several records.
func mayBeShared(t tagger.Tag) bool {
	spec, _ := record.Spec(record.Kind(t.Kind), t.Field)
	switch t.Field {
	case "tank", "line", "sensor", "product", "location", "test_rate", "test_class", "method", "threshold", "allowed", "duration", "pressure", "capacity",
		"device", "device_number", "event", "state":
		return true
	}
	return spec.Type == record.Time
}

// likelyWith is how likely a claim is of the record of others, the mean over them.
func (d *doc) likelyWith(c claim, of []claim) float64 {
	sum := 0.0
	for _, o := range of {
		sum += d.second.tags.Same(c.words[0], o.words[0])
	}
	return sum / float64(max(len(of), 1))
}

// dateAndClock reports whether of two claims one is a date and the other a time of day.
func (d *doc) dateAndClock(a, b claim) bool {
	x, ok := d.readTime(a.toks, true)
	y, okToo := d.readTime(b.toks, true)
	_, joins := joinMoments(x, y)
	return ok && okToo && joins
}
