package index

import (
	"context"
	"errors"
	"fmt"

	"github.com/blevesearch/bleve/v2"
	bsearch "github.com/blevesearch/bleve/v2/search"
	bquery "github.com/blevesearch/bleve/v2/search/query"

	"tankroll/archive"
)

func isNotFound(err error) bool { return errors.Is(err, archive.ErrNotFound) }

// search runs one search; an error of the engine means that the index is unfit.
func search(ctx context.Context, b bleve.Index, q bquery.Query, size int, order bsearch.SortOrder, fields ...string) (*bleve.SearchResult, error) {
	req := bleve.NewSearchRequestOptions(q, size, 0, false)
	req.Fields = fields
	if order != nil {
		req.SortByCustom(order)
		req.Score = "none"
	}
	res, err := b.SearchInContext(ctx, req)
	if err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return nil, fmt.Errorf("%w: %w", errUnfit, err)
	}
	return res, nil
}

// count is the number of documents that answer.
func count(ctx context.Context, b bleve.Index, q bquery.Query) (int, error) {
	res, err := search(ctx, b, q, 0, nil)
	if err != nil {
		return 0, err
	}
	return int(res.Total), nil
}

// docIDs lists all documents that answer.
func docIDs(ctx context.Context, b bleve.Index, q bquery.Query) ([]string, error) {
	n, err := count(ctx, b, q)
	if err != nil || n == 0 {
		return nil, err
	}
	res, err := search(ctx, b, q, n, nil)
	if err != nil {
		return nil, err
	}
	return ids(res), nil
}

func ids(res *bleve.SearchResult) []string {
	out := []string{}
	for _, h := range res.Hits {
		out = append(out, h.ID)
	}
	return out
}

func keyIs(field, value string) bquery.Query {
	q := bleve.NewTermQuery(value)
	q.SetField(field)
	return q
}

// byTime orders by the records' own time, those without one last.
func byTime(newest bool) bsearch.SortOrder {
	return bsearch.SortOrder{
		&bsearch.SortField{Field: "at", Desc: newest, Type: bsearch.SortFieldAsNumber, Missing: bsearch.SortFieldMissingLast},
		&bsearch.SortField{Field: "no", Desc: newest, Type: bsearch.SortFieldAsNumber, Missing: bsearch.SortFieldMissingLast},
	}
}

// wordQuery finds a term in a field of folded words. A word is found as it
// stands or, when it is long enough, with one character wrong.
func wordQuery(field string, t term) bquery.Query {
	if len(t.words) > 1 {
		q := bleve.NewPhraseQuery(t.words, field)
		if !t.not && allTrue(t.fuzzy) {
			q.SetFuzziness(1)
		}
		return q
	}
	exact := bleve.NewTermQuery(t.words[0])
	exact.SetField(field)
	if !t.fuzzy[0] {
		return exact
	}
	exact.SetBoost(2)
	near := bleve.NewFuzzyQuery(t.words[0])
	near.SetField(field)
	near.SetFuzziness(1)
	return bleve.NewDisjunctionQuery(exact, near)
}

func allTrue(list []bool) bool {
	for _, b := range list {
		if !b {
			return false
		}
	}
	return true
}
