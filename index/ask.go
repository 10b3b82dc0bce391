package index

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/blevesearch/bleve/v2"
	bquery "github.com/blevesearch/bleve/v2/search/query"

	"tankroll/archive"
	"tankroll/index/query"
)

// MaxRows bounds one answer; a person reads no more, and a report asks the
// archive.
const MaxRows = 1000

// Answer is what the archive says to a question. Rows are in the order asked
// for, sure and doubtful ones alike; Row.Sure tells them apart. Nothing that a
// reader should know before trusting the first row is left out of Notes.
type Answer struct {
	Query query.Query
	Total int           // how many records answer, also when fewer are given; one event counts once
	Rows  []archive.Row // at most Query.Limit or MaxRows
	Why   string        // when nothing answers: what there is instead
	Notes []string      // what to know before trusting the answer, in words

	NewestSure *archive.Row  // the first answer without doubt, when the first of all is in doubt about what was asked
	Maybe      []archive.Row // doubtful records that would come before the first answer if they were what they may be
}

// Ask answers a typed question.
func (ix *Index) Ask(ctx context.Context, q query.Query) (Answer, error) {
	var a Answer
	err := ix.use(ctx, func(b bleve.Index) error {
		k := &asker{ctx: ctx, ix: ix, b: b, q: q}
		var err error
		a, err = k.answer()
		return err
	})
	if err != nil {
		return Answer{}, fmt.Errorf("index: ask: %w", err)
	}
	return a, nil
}

type asker struct {
	ctx  context.Context
	ix   *Index
	b    bleve.Index
	q    query.Query
	list []constraint
}

func (k *asker) newest() bool { return k.q.Order != query.First }

func (k *asker) answer() (Answer, error) {
	a := Answer{Query: k.q}
	var err error
	if k.list, err = k.ix.constraints(k.ctx, k.b, k.q); err != nil {
		return a, err
	}
	size := MaxRows
	if k.q.Limit > 0 {
		size = min(size, k.q.Limit)
	}
	res, err := search(k.ctx, k.b, all(k.list), size, byTime(k.newest()))
	if err != nil {
		return a, err
	}
	a.Total = int(res.Total)
	if a.Rows, err = k.rows(ids(res), k.list); err != nil {
		return a, err
	}
	if a.Total > len(a.Rows) && k.q.Limit == 0 && !k.q.Count {
		a.Notes = append(a.Notes, fmt.Sprintf("%d of %d are given, narrow the question to see the rest", len(a.Rows), a.Total))
	}
	if err := k.warn(&a); err != nil {
		return a, err
	}
	if a.Total == 0 {
		a.Why, err = k.why(a.Maybe)
	}
	return a, err
}

// rows reads records from the archive in the given order. One that the index
// found and that does not meet the constraints shows that the index is unfit,
// unless it was changed just now.
func (k *asker) rows(list []string, want []constraint) ([]archive.Row, error) {
	have, err := note(k.b, keySeq)
	if err != nil {
		return nil, err
	}
	byID := map[string]archive.Row{}
	for chunk := range slices.Chunk(list, 500) {
		rows, err := k.ix.src.Rows(k.ctx, archive.Filter{IDs: chunk, Rejected: true})
		if err != nil {
			return nil, err
		}
		for _, r := range rows {
			byID[r.ID] = r
		}
	}
	var out []archive.Row
	for _, id := range list {
		r, ok := byID[id]
		if ok && !r.Rejected && holdAll(want, r) {
			out = append(out, r)
			continue
		}
		if now, err := k.ix.src.Seq(k.ctx); err != nil || now == have {
			return nil, fmt.Errorf("%w: it gave %s for a question that it does not answer", errUnfit, id)
		}
	}
	return out, nil
}

func holdAll(list []constraint, r archive.Row) bool {
	for _, c := range list {
		if c.holds != nil && !c.holds(r) {
			return false
		}
	}
	return true
}

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
	} else if k.q.Limit > 0 {
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
	rows := a.Rows
	if len(rows) < a.Total && len(rows) < lookAhead {
		res, err := search(k.ctx, k.b, all(k.list), lookAhead, byTime(k.newest()))
		if err != nil {
			return err
		}
		if rows, err = k.rows(ids(res), k.list); err != nil {
			return err
		}
	}
	order := "newest"
	if !k.newest() {
		order = "oldest"
	}
	for _, r := range rows {
		if len(k.doubts(r)) == 0 && r.At != "" {
			a.NewestSure = &r
			a.Notes = append(a.Notes, fmt.Sprintf("the %s without doubt is %s, of %s", order, r.ID, r.At))
			return nil
		}
	}
	a.Notes = append(a.Notes, "none that answers is without doubt")
	return nil
}

// undated counts the answers that have no time.
func (k *asker) undated() (int, error) {
	if k.q.From != "" || k.q.To != "" {
		return 0, nil
	}
	find := bleve.NewBooleanQuery()
	find.AddMust(all(k.list))
	find.AddMustNot(anyTime())
	return count(k.ctx, k.b, find)
}

func anyTime() bquery.Query {
	zero := 0.0
	q := bleve.NewNumericRangeQuery(&zero, nil)
	q.SetField("at")
	return q
}

// beyond finds records whose time comes before the first answer's in the order
// asked for.
func beyond(at string, newest bool) bquery.Query {
	t, _ := timeKey(at)
	low, high := &t, (*float64)(nil)
	if !newest {
		low, high = nil, &t
	}
	q := bleve.NewNumericRangeQuery(low, high)
	q.SetField("at")
	return q
}

// maxMaybe is how many doubtful records are named.
const maxMaybe = 3

// maybe looks for doubtful records that do not answer as they were read, but
// would come first if the field in doubt says what was asked.
func (k *asker) maybe(a *Answer) error {
	if len(k.list) < 2 { // only a kind: nothing to be doubtful about
		return nil
	}
	find := []bquery.Query{keyIs("copy", "no"), keyIs("sure", "no")}
	for _, c := range k.list {
		find = append(find, c.maybe())
	}
	if len(a.Rows) > 0 && a.Rows[0].At != "" {
		find = append(find, bleve.NewDisjunctionQuery(beyond(a.Rows[0].At, k.newest()), inDoubt(timeFields)))
	}
	res, err := search(k.ctx, k.b, bleve.NewConjunctionQuery(find...), lookAhead, byTime(k.newest()))
	if err != nil {
		return err
	}
	rows, err := k.rows(ids(res), nil)
	if err != nil {
		return err
	}
	for _, r := range rows {
		if len(a.Rows) > 0 && !k.before(r, a.Rows[0]) {
			continue
		}
		if holdAll(k.list, r) || !k.couldAll(r) {
			continue
		}
		if len(a.Maybe) == maxMaybe {
			a.Notes = append(a.Notes, "and more doubtful ones")
			break
		}
		a.Maybe = append(a.Maybe, r)
		a.Notes = append(a.Notes, fmt.Sprintf("%s may answer too: it is in doubt about its %s", r.ID, strings.Join(k.doubts(r), ", ")))
	}
	return nil
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
