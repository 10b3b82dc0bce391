package index

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/RoaringBitmap/roaring/v2"

	"tankroll/archive"
	"tankroll/index/query"
	"tankroll/index/text"
	"tankroll/record"
)

// MaxRows bounds one answer; a person reads no more, and a report asks the
// archive.
const MaxRows = 1000

// countRows is how many records are given with their number, as examples: reading
// a thousand from the archive takes far longer than counting a million.
const countRows = 25

// Answer is what the archive says to a question. Rows are in the order asked
// for, sure and doubtful ones alike; Row.Sure tells them apart. Nothing that a
// reader should know before trusting the first row is left out of Notes.
type Answer struct {
	Query query.Query
	Total int           // how many records answer, also when fewer are given; one event counts once. With Query.Missing, how many Groups
	Rows  []archive.Row // at most Query.Limit or MaxRows
	Why   string        // when nothing answers: what there is instead
	Try   []Step        // when nothing answers: the nearest questions that have an answer
	Notes []string      // what to know before trusting the answer, in words

	Groups []Group // what Query.Per or Query.Missing asked for each of
	Figure *Figure // what Query.Figure asked for

	NewestSure *archive.Row  // the first answer without doubt, when the first of all is in doubt about what was asked
	Maybe      []archive.Row // doubtful records that would come before the first answer if they were what they may be

	Readings []Reading // what else the question can mean, where that has another answer
}

// Step is a question near the one asked, and how many records answer it.
type Step struct {
	Ask   string
	Total int
}

// Ask answers a typed question.
func (ix *Index) Ask(ctx context.Context, q query.Query) (Answer, error) {
	return ix.answer(ctx, func(context.Context, view, string) (query.Query, error) { return q, nil }, "")
}

// AskWords answers a question in plain words; the sites that the archive knows
// may be named in it.
func (ix *Index) AskWords(ctx context.Context, question string, now time.Time) (Answer, error) {
	return ix.answer(ctx, func(ctx context.Context, v view, question string) (query.Query, error) {
		names, err := v.siteNames(ctx)
		if err != nil {
			return query.Query{}, err
		}
		q := query.ParseFor(question, now, ix.lex, names)
		said, err := alarmText(ctx, v, q)
		if err != nil {
			return q, err
		}
		if said != "" {
			if of := query.ParseFor(question+", alarms", now, ix.lex, names); of.Kind == record.Alarm {
				of.Assumed = append(of.Assumed, said+" is taken for the text of alarms")
				q = of
			}
		}
		return unsaid(ctx, v, q, question)
	}, question)
}

// alarmText finds two words or more that were not understood and that alarms say,
// in a question that names no kind.
func alarmText(ctx context.Context, v view, q query.Query) (string, error) {
	if q.Kind != "" || q.AnyTest || q.Measure != "" || len(q.NotUnderstood) > maxText {
		return "", nil
	}
	for n := len(q.NotUnderstood); n >= 2; n-- {
		for i := 0; i+n <= len(q.NotUnderstood); i++ {
			words := strings.Join(q.NotUnderstood[i:i+n], " ")
			t, ok := text.NewTerm(words, false)
			if !ok {
				continue
			}
			found, err := count(ctx, v, allOf(is("kind", string(record.Alarm)), saidBy(record.Alarm, t)))
			if err != nil || found > 0 {
				return words, err
			}
		}
	}
	return "", nil
}

// maxText bounds the words that are looked for in the texts of alarms.
const maxText = 8

// unsaid takes a word that was taken for part of an alarm's or a sensor's text out
// of the question when none says it: it was not understood.
func unsaid(ctx context.Context, v view, q query.Query, question string) (query.Query, error) {
	if q.Kind != record.Alarm && q.Kind != record.SensorStatus {
		return q, nil
	}
	was := q
	if strings.Contains(question, `"`) {
		return q, nil
	}
	var words []string
	for _, w := range q.Words {
		var said []string
		for _, t := range eitherOf(w) {
			n, err := count(ctx, v, allOf(is("kind", string(q.Kind)), saidBy(q.Kind, t)))
			if err != nil {
				return q, err
			}
			if n > 0 {
				said = append(said, t.Shown)
			} else {
				q.NotUnderstood = append(q.NotUnderstood, t.Shown)
			}
		}
		if len(said) > 0 {
			words = append(words, strings.Join(said, query.OrWord))
		}
	}
	if slices.Equal(words, q.Words) {
		return was, nil
	}
	q.Readings = without(q, words)
	stated := q.State != "" && !(q.Kind == record.Alarm && q.State == "raised") // which is what is taken for granted of alarms
	if len(words) > 0 || stated || q.Site+q.From+q.To+q.Grade+q.Tank+q.Line+q.Sensor+q.Device+q.Place != "" || q.Limit > 0 {
		q.Words = words
		return q, nil
	}
	return was, nil // it asks for nothing else: that no record says it is the answer
}

// without are the readings of a query of whose words only some are left.
func without(q query.Query, words []string) []query.Reading {
	was, left := ", "+query.SayWords(q.Words), ""
	if len(words) > 0 {
		left = ", " + query.SayWords(words)
	}
	var out []query.Reading
	for _, r := range q.Readings {
		out = append(out, query.Reading{Say: r.Say, Ask: strings.Replace(r.Ask, was, left, 1)})
	}
	return out
}

// answer answers what ask makes of a question, and of its other readings.
func (ix *Index) answer(ctx context.Context, ask func(ctx context.Context, v view, question string) (query.Query, error), question string) (Answer, error) {
	var a Answer
	err := ix.use(ctx, func(v view) error {
		q, err := ask(ctx, v, question)
		if err != nil {
			return err
		}
		k := &asker{ctx: ctx, ix: ix, v: v, q: q}
		if a, err = k.answer(); err == nil && question != "" {
			err = k.others(ctx, &a, func(other string) (query.Query, error) { return ask(ctx, v, other) })
		}
		if v.gen.Content != content {
			a.Notes = append(a.Notes, "the index was made by another version of this program; tankroll reindex makes it anew")
		}
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
	v    view
	q    query.Query
	list []constraint
	set  *roaring.Bitmap // what meets them; nil until asked for

	brief bool // the number and the first record do
}

// answers are the records that meet the constraints.
func (k *asker) answers() (*roaring.Bitmap, error) {
	if k.set == nil {
		var err error
		if k.set, err = all(k.list).set(k.ctx, k.v); err != nil {
			return nil, err
		}
	}
	return k.set, nil
}

func (k *asker) newest() bool { return k.q.Order != query.First }

// byMeasure reports whether the answer is in the order of its numbers.
func (k *asker) byMeasure() bool {
	return k.q.Measure != "" && (k.q.Order == query.Highest || k.q.Order == query.Lowest)
}

func (k *asker) order() order {
	if k.byMeasure() {
		return byNumber(k.q.Measure, k.q.Order == query.Highest)
	}
	return byTime(k.newest())
}

func (k *asker) answer() (Answer, error) {
	a := Answer{Query: k.q}
	var err error
	if k.list, err = k.constraints(k.q); err != nil {
		return a, err
	}
	switch {
	case k.q.Missing != "":
		return a, k.missing(&a)
	case k.q.Per != "":
		err = k.per(&a)
	default:
		err = k.plain(&a)
	}
	if err != nil {
		return a, err
	}
	if a.Total == 0 && !k.brief {
		a.Why, a.Try, err = k.why(a.Maybe)
	}
	return a, err
}

func (k *asker) plain(a *Answer) error {
	size := MaxRows
	switch {
	case k.q.Limit > 0:
		size = min(size, k.q.Limit)
	case k.q.Count:
		size = countRows
	}
	if k.brief {
		size = 1
	}
	s, err := k.answers()
	if err != nil {
		return err
	}
	a.Total = int(s.GetCardinality())
	list, err := firstIn(k.ctx, k.v, s, size, k.order())
	if err != nil {
		return err
	}
	if a.Rows, err = k.rows(recordIDs(list), k.list); err != nil {
		return err
	}
	if a.Total > len(a.Rows) && k.q.Limit == 0 && !k.q.Count && k.q.Figure == "" {
		a.Notes = append(a.Notes, fmt.Sprintf("%d of %d are given, narrow the question to see the rest", len(a.Rows), a.Total))
	}
	if k.q.Figure != "" {
		return k.figure(a)
	}
	if k.brief {
		return nil
	}
	return k.warn(a)
}

// rows reads records from the archive in the given order. One that the index
// found and that does not meet the constraints shows that the index is unfit,
// unless it was changed just now.
func (k *asker) rows(list []string, want []constraint) ([]archive.Row, error) {
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
		if now, err := k.ix.src.Seq(k.ctx); err != nil || now == k.v.seq {
			return nil, fmt.Errorf("%w: it gave %s for a question that it does not answer", errUnfit, id)
		}
	}
	return out, nil
}

// each reads records as rows does, until f has seen enough: at first as many as are
// likely to do, or a few.
func (k *asker) each(list []string, likely int, want []constraint, f func(archive.Row) (more bool)) error {
	n := firstFew
	if likely > 0 {
		n = likely
	}
	for ; len(list) > 0; n *= 3 {
		some := list[:min(n, len(list))]
		list = list[len(some):]
		rows, err := k.rows(some, want)
		if err != nil {
			return err
		}
		for _, r := range rows {
			if !f(r) {
				return nil
			}
		}
	}
	return nil
}

// firstFew is how many records are read where the first is likely to do.
const firstFew = 6

func holdAll(list []constraint, r archive.Row) bool {
	for _, c := range list {
		if c.holds != nil && !c.holds(r) {
			return false
		}
	}
	return true
}
