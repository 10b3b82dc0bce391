package index

import (
	"context"
	"fmt"

	"tankroll/archive"
	"tankroll/index/query"
)

// Reading is another meaning of a question, with its answer in short.
type Reading struct {
	Say    string // what is read otherwise, in words
	Ask    string // the question that means it
	Query  query.Query
	Total  int          // as in Answer
	First  *archive.Row // the first of the records that answer it, nil when there is none
	Groups []Group      // as in Answer, without their records
	Figure *Figure      // as in Answer
}

// Gist is the answer of a reading in words, but for its first record.
func (r Reading) Gist() string {
	switch {
	case r.Figure != nil:
		return fmt.Sprintf("%s of %d", r.Figure.Say(), r.Figure.Of)
	case r.Query.Missing != "":
		return counted(r.Total, r.Query.Missing+"s")
	case r.Query.Per != "" && (r.Query.Count || r.Query.Figure != "") && len(r.Groups) > 0:
		g := r.Groups[0]
		of := fmt.Sprint(g.Total)
		if g.Figure != nil {
			of = g.Figure.Say()
		}
		return fmt.Sprintf("%s, the first %s with %s", Answer{Query: r.Query, Groups: r.Groups}.InAll(), g.Say(), of)
	case r.Query.Limit == 1 && r.Query.Per == "" && r.Total > 0:
		return "the first of " + counted(r.Total, "records")
	}
	return counted(r.Total, "records")
}

// InAll says how many groups an answer has, such as 132 tanks; "" where it has none.
func (a Answer) InAll() string {
	if a.Query.Per == "" || len(a.Groups) == 0 {
		return ""
	}
	return counted(len(a.Groups), groupWord(a.Query.Per)+"s")
}

// groupWord is what an answer is given for each of, in words.
func groupWord(per string) string {
	if per == "grade" {
		return "product"
	}
	return per
}

// others answers the other readings of a question in short. One whose answer is the
// same is none.
func (k *asker) others(ctx context.Context, a *Answer, again func(ask string) (query.Query, error)) error {
	for _, r := range k.q.Readings {
		q, err := again(r.Ask)
		if err != nil {
			return err
		}
		o := &asker{ctx: ctx, ix: k.ix, v: k.v, q: q, brief: true}
		b, err := o.answer()
		if err != nil {
			return err
		}
		same, err := k.same(o)
		if err != nil {
			return err
		}
		if same {
			continue
		}
		out := Reading{Say: r.Say, Ask: r.Ask, Query: q, Total: b.Total, Groups: b.Groups, Figure: b.Figure}
		if len(b.Rows) > 0 && q.Figure == "" && q.Missing == "" {
			out.First = &b.Rows[0]
		}
		a.Readings = append(a.Readings, out)
	}
	return nil
}

// same reports that two questions have one answer: the same records in the same form.
func (k *asker) same(o *asker) (bool, error) {
	x, y := k.q, o.q
	if x.Order != y.Order || x.Limit != y.Limit || x.Count != y.Count || x.Figure != y.Figure || x.Per != y.Per || x.Often != y.Often ||
		x.Rank != y.Rank || x.Current != y.Current || x.Missing+y.Missing != "" || x.Measure != y.Measure {
		return false, nil
	}
	mine, err := k.answers()
	if err != nil {
		return false, err
	}
	theirs, err := o.answers()
	if err != nil {
		return false, err
	}
	return mine.Equals(theirs), nil
}
