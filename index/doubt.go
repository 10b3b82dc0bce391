package index

import (
	"fmt"
	"slices"
	"strings"

	"github.com/RoaringBitmap/roaring/v2"

	"tankroll/archive"
	"tankroll/index/query"
)

// lookAhead bounds how many answers are searched for one without doubt, and how
// many doubtful records are looked at.
const lookAhead = 100

// warn says what a reader must know before trusting the first row.
func (k *asker) warn(a *Answer) error {
	if err := k.maybe(a); err != nil {
		return err
	}
	if len(a.Rows) == 0 {
		return nil
	}
	first := a.Rows[0]
	if names := k.doubts(first); len(names) > 0 {
		a.Notes = append(a.Notes, fmt.Sprintf("%s is in doubt about its %s", first.ID, strings.Join(names, ", ")))
		if err := k.newestSure(a); err != nil {
			return err
		}
	}
	if first.At == "" {
		a.Notes = append(a.Notes, first.ID+" shows no date that could be read")
	} else if k.q.Limit > 0 && !k.byMeasure() {
		n, err := k.undated()
		if err != nil {
			return err
		}
		if n > 0 {
			a.Notes = append(a.Notes, fmt.Sprintf("%d more show no date that could be read, so they have no place in the order", n))
		}
	}
	if first.ByHand {
		a.Notes = append(a.Notes, first.ID+" was typed in by a person, not read from the paper")
	}
	if k.q.Grade != "" && gradeOf(first.Record, k.ix.lex) == "" {
		a.Notes = append(a.Notes, fmt.Sprintf("%s prints no product; other slips say that %s at site %s holds %s",
			first.ID, first.Record.Equipment(), first.Site, k.q.Grade))
	}
	return nil
}

// doubts lists the fields in doubt that the answer rests on: those asked about
// and the time, which decides the order.
func (k *asker) doubts(r archive.Row) []string {
	var out []string
	for _, c := range append(slices.Clone(k.list), constraint{fields: func(r archive.Row) []string { return []string{r.AtField} }}) {
		for _, name := range c.doubts(r) {
			if !slices.Contains(out, name) {
				out = append(out, name)
			}
		}
	}
	return slices.DeleteFunc(out, func(s string) bool { return s == "" })
}

func (k *asker) newestSure(a *Answer) error {
	order := map[string]string{query.First: "oldest", query.Highest: query.Highest, query.Lowest: query.Lowest}[k.q.Order]
	if order == "" {
		order = "newest"
	}
	look := func(r archive.Row) bool {
		if len(k.doubts(r)) == 0 && r.At != "" {
			a.NewestSure = &r
			a.Notes = append(a.Notes, fmt.Sprintf("the %s without doubt is %s, of %s", order, r.ID, r.At))
		}
		return a.NewestSure == nil
	}
	for _, r := range a.Rows {
		if !look(r) {
			return nil
		}
	}
	if len(a.Rows) < a.Total && len(a.Rows) < lookAhead {
		list, first, err := k.ahead()
		if err != nil {
			return err
		}
		from := min(len(a.Rows), len(list))
		if err := k.each(list[from:], first+1-from, k.list, look); err != nil || a.NewestSure != nil {
			return err
		}
	}
	a.Notes = append(a.Notes, "none that answers is without doubt")
	return nil
}

// ahead lists the first answers, and says which of them is the first that nothing
// is in doubt of.
func (k *asker) ahead() (list []string, first int, err error) {
	s, err := k.answers()
	if err != nil {
		return nil, 0, err
	}
	nos, err := firstIn(k.ctx, k.v, s, lookAhead, k.order())
	if err != nil {
		return nil, 0, err
	}
	doubted, err := inDoubt(append(k.rests(), timeFields...)).set(k.ctx, k.v)
	if err != nil {
		return nil, 0, err
	}
	return recordIDs(nos), slices.IndexFunc(nos, func(no uint32) bool { return !doubted.Contains(no) }), nil
}

// rests are the fields that the answer may rest on.
func (k *asker) rests() []string {
	var out []string
	for _, c := range k.list {
		out = append(out, c.rests...)
	}
	return out
}

// undated counts the answers that have no time.
func (k *asker) undated() (int, error) {
	if k.q.From != "" || k.q.To != "" {
		return 0, nil
	}
	s, err := k.answers()
	if err != nil {
		return 0, err
	}
	dated, err := anyTime().within(k.ctx, k.v, s)
	if err != nil {
		return 0, err
	}
	return int(s.GetCardinality() - dated.GetCardinality()), nil
}

func anyTime() expr {
	zero := 0.0
	return between(&zero, nil)
}

// beyond finds records whose time comes before the first answer's in the order
// asked for.
func beyond(at string, newest bool) expr {
	t, _ := timeKey(at)
	if newest {
		return between(&t, nil)
	}
	return between(nil, &t)
}

// maxMaybe is how many doubtful records are named.
const maxMaybe = 3

// maybe looks for doubtful records that do not answer as they were read, but
// would come first if the field in doubt says what was asked.
func (k *asker) maybe(a *Answer) error {
	if len(k.list) < 2 || k.byMeasure() { // only a kind: nothing to be doubtful about; or the order is not that of time
		return nil
	}
	at := ""
	if len(a.Rows) > 0 {
		at = a.Rows[0].At
	}
	s, err := k.mayAnswer(at)
	if err != nil {
		return err
	}
	list, err := firstIn(k.ctx, k.v, s, lookAhead, byTime(k.newest()))
	if err != nil {
		return err
	}
	return k.each(recordIDs(list), 0, nil, func(r archive.Row) bool {
		if len(a.Rows) > 0 && !k.before(r, a.Rows[0]) || holdAll(k.list, r) || !k.couldAll(r) {
			return true
		}
		if len(a.Maybe) == maxMaybe {
			a.Notes = append(a.Notes, "and more doubtful ones")
			return false
		}
		a.Maybe = append(a.Maybe, r)
		a.Notes = append(a.Notes, fmt.Sprintf("%s may answer too: it is in doubt about its %s", r.ID, strings.Join(k.doubts(r), ", ")))
		return true
	})
}

// mayAnswer finds the doubtful records that may meet the constraints and do not as
// they were read; when the first answer has a time, those that may come before it.
func (k *asker) mayAnswer(at string) (*roaring.Bitmap, error) {
	parts := []expr{made(allOf(is("copy", "no"), is("sure", "no")))}
	for _, c := range k.list {
		parts = append(parts, c.maybe())
	}
	if at != "" {
		parts = append(parts, anyOf(beyond(at, k.newest()), inDoubt(timeFields)))
	}
	out, err := allOf(parts...).set(k.ctx, k.v)
	if err != nil {
		return nil, err
	}
	answers, err := k.answers()
	if err != nil {
		return nil, err
	}
	return roaring.AndNot(out, answers), nil
}

func (k *asker) couldAll(r archive.Row) bool {
	for _, c := range k.list {
		if !c.could(r) {
			return false
		}
	}
	return true
}

// before reports whether a would come before b, or may: its time is in doubt.
func (k *asker) before(a, b archive.Row) bool {
	if b.At == "" || unsure(a, a.AtField) {
		return true
	}
	if k.newest() {
		return a.At > b.At
	}
	return a.At != "" && a.At < b.At
}
