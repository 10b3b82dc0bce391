package index

import (
	"context"
	"fmt"
	"maps"
	"slices"

	"github.com/blevesearch/bleve/v2"
	bsearch "github.com/blevesearch/bleve/v2/search"
	bquery "github.com/blevesearch/bleve/v2/search/query"

	"tankroll/record"
)

// What answers are made of, in the engine's terms: expressions over the records'
// fields, and counting, ordering and grouping of the records that meet one.

type (
	view = bleve.Index
	expr = bquery.Query
)

func is(field, value string) expr { return keyIs(field, value) }

func anyOf(list ...expr) expr { return bleve.NewDisjunctionQuery(list...) }

func allOf(list ...expr) expr { return bleve.NewConjunctionQuery(list...) }

func but(e, not expr) expr {
	q := bleve.NewBooleanQuery()
	q.AddMust(e)
	q.AddMustNot(not)
	return q
}

// between finds records by their own time, both ends included.
func between(low, high *float64) expr { return numberBetween("at", low, high) }

// numberIn finds records by one of their numbers, both ends included.
func numberIn(field string, low, high *float64) expr { return numberBetween("num."+field, low, high) }

func numberBetween(field string, low, high *float64) expr {
	yes := true
	if low == nil && high == nil {
		least := -1e300
		low = &least
	}
	q := bleve.NewNumericRangeInclusiveQuery(low, high, &yes, &yes)
	q.SetField(field)
	return q
}

func saidWords(t term) expr { return wordQuery("said", t) }

// byNumber orders by one of the records' numbers, those without it last.
func byNumber(field string, desc bool) bsearch.SortOrder {
	return append(bsearch.SortOrder{&bsearch.SortField{Field: "num." + field, Desc: desc, Type: bsearch.SortFieldAsNumber, Missing: bsearch.SortFieldMissingLast}},
		byTime(true)...)
}

// find gives the first records that meet an expression, and how many do.
func find(ctx context.Context, v view, e expr, size int, order bsearch.SortOrder) (list []string, total int, err error) {
	res, err := search(ctx, v, e, size, order)
	if err != nil {
		return nil, 0, err
	}
	return ids(res), int(res.Total), nil
}

// maxFacet bounds the values that are counted: the tanks of a chain of two
// thousand stations.
const maxFacet = 10000

// facet counts the values that a field has among the records of an expression.
func facet(ctx context.Context, v view, e expr, field string) (map[string]int, error) {
	req := bleve.NewSearchRequestOptions(e, 0, 0, false)
	req.AddFacet(field, bleve.NewFacetRequest(field, maxFacet))
	res, err := v.SearchInContext(ctx, req)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", errUnfit, err)
	}
	out := map[string]int{}
	if f := res.Facets[field]; f != nil && f.Terms != nil {
		for _, t := range f.Terms.Terms() {
			out[t.Term] = t.Count
		}
	}
	return out, nil
}

// values lists the values of a field, in order.
func values(_ context.Context, v view, field string) ([]string, error) {
	d, err := v.FieldDict(field)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", errUnfit, err)
	}
	defer d.Close()
	var out []string
	for {
		e, err := d.Next()
		if err != nil {
			return nil, fmt.Errorf("%w: %w", errUnfit, err)
		}
		if e == nil {
			return out, nil
		}
		out = append(out, e.Term)
	}
}

// numberFields are the numeric fields of all kinds.
func numberFields() []string {
	names := map[string]bool{}
	for _, k := range record.Kinds() {
		for _, s := range record.Specs(k) {
			if s.Type == record.Number {
				names[s.Name] = true
			}
		}
	}
	return slices.Sorted(maps.Keys(names))
}
