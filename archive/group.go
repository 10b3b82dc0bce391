package archive

import (
	"cmp"
	"context"
	"database/sql"
	"fmt"
	"maps"
	"slices"
)

// maxTwins bounds how many pictures of one printout become one record without
// asking: the oldest so many. Nobody photographs a slip more often by mistake, and
// without a bound the work of adding one would grow with how many there are.
const maxTwins = 20

// grouper finds which records are one: every record that what it was given may
// have to do with, with its own fold.
type grouper struct {
	ctx     context.Context
	t       *sql.Tx
	members map[int64]*member
	folds   map[int64]folded
	ranks   map[int64]int
	sure    map[int64]bool // may be one with another without asking
}

// regroup brings the rows of records up to date, and those of the records that
// they are one with, were one with or become one with. What is grouped depends on
// what the records say and on the journal, not on the order in which they came.
func regroup(ctx context.Context, t *sql.Tx, seq int64, ids []int64) error {
	g := &grouper{ctx, t, map[int64]*member{}, map[int64]folded{}, map[int64]int{}, map[int64]bool{}}
	todo := slices.Clone(ids)
	for _, id := range ids {
		near, err := g.settle(id)
		if err != nil {
			return err
		}
		todo = append(todo, near...)
	}
	for len(todo) > 0 {
		id := todo[0]
		todo = todo[1:]
		if g.ranks[id] > 0 {
			continue // was seen
		}
		more, err := g.around(id)
		if err != nil {
			return err
		}
		todo = append(todo, more...)
	}
	groups, err := g.groups()
	if err != nil {
		return err
	}
	for _, all := range groups {
		if err := g.write(seq, all, ids); err != nil {
			return err
		}
	}
	return nil
}

func (g *grouper) load(id int64) (*member, error) {
	if m, ok := g.members[id]; ok {
		return m, nil
	}
	m, err := loadMember(g.ctx, g.t, id)
	if err != nil {
		return nil, err
	}
	g.members[id] = m
	g.folds[id], err = m.own(g.ctx, g.t)
	return m, err
}

// settle writes what a changed record says by itself, by which it is found, and
// gives the records of its slip that said or say the same: which is the first of
// them may have changed.
func (g *grouper) settle(id int64) ([]int64, error) {
	m, err := g.load(id)
	if err != nil {
		return nil, err
	}
	f := g.folds[id]
	site, _, _ := siteOf(m.hint, f.header)
	at, _ := f.record.At(f.header)
	was := m.fact
	m.fact, m.twin = fact(site, at, f.record), twinKey(f, m.hint, m.byHand, m.unseen || m.gone)
	if _, err := g.t.ExecContext(g.ctx, `UPDATE records SET fact = ?, twin = ?, kind = ?, rejected = ? WHERE id = ?`,
		m.fact, m.twin, string(f.record.Kind), f.rejected, id); err != nil {
		return nil, err
	}
	// The plus keeps SQLite from looking through all records of the event.
	return numbers(g.ctx, g.t, `SELECT id FROM records WHERE capture = ? AND page = ? AND slip = ? AND id <> ? AND twin <> '' AND +fact IN (?, ?)`,
		m.capture, m.page, m.slip, id, was, m.fact)
}

// around notes all about one record and gives those that it may be one with.
func (g *grouper) around(id int64) ([]int64, error) {
	m, err := g.load(id)
	if err != nil {
		return nil, err
	}
	near, err := mates(g.ctx, g.t, id, m.one)
	if err != nil {
		return nil, err
	}
	told, err := numbers(g.ctx, g.t, `SELECT b FROM pairs WHERE a = ?`, id)
	if err != nil {
		return nil, err
	}
	near = append(near, told...)
	g.ranks[id] = 1
	if m.twin == "" {
		return near, nil
	}
	// A slip that lists the same thing twice means two things: the first is one
	// with the first of another slip, the second with the second.
	before, err := numbers(g.ctx, g.t, `SELECT id FROM records WHERE capture = ? AND page = ? AND slip = ? AND idx < ?
		AND gone = 0 AND rejected = 0 AND +fact = ?`, m.capture, m.page, m.slip, m.idx, m.fact)
	if err != nil {
		return nil, err
	}
	g.ranks[id] = 1 + len(before)
	// SQLite uses a partial index only where its condition is repeated.
	class, err := numbers(g.ctx, g.t, `SELECT id FROM records WHERE twin = ? AND twin <> '' AND gone = 0 ORDER BY id LIMIT ?`, m.twin, maxTwins)
	if err != nil {
		return nil, err
	}
	if !slices.Contains(class, id) {
		return near, nil
	}
	g.sure[id] = true
	return append(near, class...), nil
}

// wordOf is what people said of two records: the newest Same or Differ, else Same
// when a decision was about both, else "". That one record's event was corrected
// takes back what was not said outright.
func wordOf(a, b *member) string {
	if len(a.list)+len(b.list) == 0 {
		return ""
	}
	list := make([]journalled, 0, len(a.list)+len(b.list))
	for _, e := range a.list {
		if e.about(name("r", b.id)) {
			list = append(list, e)
		}
	}
	for _, e := range b.list {
		if e.about(name("r", a.id)) {
			list = append(list, e)
		}
	}
	slices.SortFunc(list, func(a, b journalled) int { return cmp.Compare(a.seq, b.seq) })
	outright, both := "", ""
	for _, e := range list {
		switch {
		case e.body.Other != "":
			outright, both = e.action, ""
		case len(e.body.Apart) > 0:
			both = ""
		default:
			both = Same
		}
	}
	return cmp.Or(outright, both)
}

// about reports whether an entry speaks of another record too.
func (e journalled) about(other string) bool {
	return !e.undone && (e.body.Other == other || slices.Contains(e.body.OneWith, other) || slices.Contains(e.body.Apart, other))
}

// groups puts together what is one, each group with its oldest first.
func (g *grouper) groups() ([][]*member, error) {
	ids := slices.Sorted(maps.Keys(g.members))
	words := map[[2]int64]string{}
	var said []set
	for i, a := range ids {
		said = append(said, set{a})
		for _, b := range ids[:i] {
			if w := wordOf(g.members[b], g.members[a]); w != "" {
				words[[2]int64{b, a}] = w
			}
		}
	}
	said = unite(said, func(a, b int64) bool {
		return words[[2]int64{min(a, b), max(a, b)}] == Same && g.counts(a) && g.counts(b)
	})
	for pair, w := range words {
		if w == Differ && slices.ContainsFunc(said, func(s set) bool { return s.has(pair[0]) && s.has(pair[1]) }) {
			return nil, fmt.Errorf("%w: %s and %s cannot be both one record and two: say first how they stand to the others, with tankroll same or tankroll differ",
				ErrValue, name("r", pair[0]), name("r", pair[1]))
		}
	}
	var out [][]*member
	for _, s := range g.alike(said, words) {
		var all []*member
		for _, id := range s {
			all = append(all, g.members[id])
		}
		out = append(out, all)
	}
	return out, nil
}

// counts reports whether a record is shown at all.
func (g *grouper) counts(id int64) bool { return !g.members[id].gone && !g.folds[id].rejected }

// alike puts sets together that may be one without asking. Where of three sets
// two may be one with the third and not with each other, none is: nothing says
// which it would be.
func (g *grouper) alike(said []set, words map[[2]int64]string) []set {
	fits := func(a, b set) bool {
		some := false
		for _, x := range a {
			for _, y := range b {
				if words[[2]int64{min(x, y), max(x, y)}] == Differ {
					return false
				}
				m, o := g.members[x], g.members[y]
				if !g.sure[x] || !g.sure[y] {
					continue
				}
				if m.twin != o.twin || g.ranks[x] != g.ranks[y] || m.onSlip(o) || len(clash(g.folds[x].record, g.folds[y].record)) > 0 {
					return false
				}
				some = true
			}
		}
		return some
	}
	var out []set
	left := slices.Clone(said)
	for len(left) > 0 {
		near := []set{left[0]}
		left = left[1:]
		for i := 0; i < len(near); i++ { // all that hang together
			left = slices.DeleteFunc(left, func(s set) bool {
				if !fits(near[i], s) {
					return false
				}
				near = append(near, s)
				return true
			})
		}
		clique := true
		for i, a := range near {
			for _, b := range near[:i] {
				clique = clique && fits(b, a)
			}
		}
		if !clique {
			out = append(out, near...)
			continue
		}
		out = append(out, slices.Sorted(slices.Values(slices.Concat(near...))))
	}
	return out
}

// set are ids, the lowest first.
type set []int64

func (s set) has(id int64) bool { return slices.Contains(s, id) }

// unite puts sets together as long as any two members are one.
func unite(sets []set, one func(a, b int64) bool) []set {
	for i := 0; i < len(sets); i++ {
		for k := i + 1; k < len(sets); k++ {
			if !slices.ContainsFunc(sets[i], func(a int64) bool {
				return slices.ContainsFunc(sets[k], func(b int64) bool { return one(a, b) })
			}) {
				continue
			}
			sets[i] = slices.Sorted(slices.Values(slices.Concat(sets[i], sets[k])))
			sets = slices.Delete(sets, k, k+1)
			k = i // the set has grown
		}
	}
	return sets
}

// write brings the rows of one group up to date. All tell of one event.
func (g *grouper) write(seq int64, all []*member, changed []int64) error {
	event, err := eventOf(g.ctx, g.t, all, slices.Collect(maps.Values(g.members)))
	if err != nil {
		return err
	}
	for _, m := range all {
		if err := writeView(g.ctx, g.t, seq, m, all, event, slices.Contains(changed, m.id)); err != nil {
			return err
		}
	}
	return nil
}

// onePicture reports whether two rows stand on the same slip.
func onePicture(a, b Row) bool {
	return a.Capture == b.Capture && a.Page == b.Page && a.Slip == b.Slip
}
