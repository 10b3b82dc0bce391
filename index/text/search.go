package text

import (
	"cmp"
	"context"
	"slices"
	"strconv"

	"github.com/blevesearch/bleve/v2"
	"github.com/blevesearch/bleve/v2/search"
	"github.com/blevesearch/bleve/v2/search/query"
	index "github.com/blevesearch/bleve_index_api"
)

// Search calls each for every slip of the part on which all terms are; the score
// says how well they fit, the higher the better. With joined set the lines of a
// whole slip count for where it begins.
func (p *Part) Search(ctx context.Context, terms []Term, joined bool, each func(no uint32, score float64)) error {
	err := guarded(func() error { return p.search(ctx, terms, joined, each) })
	if err != nil && ctx.Err() != nil {
		return ctx.Err()
	}
	return err
}

func (p *Part) search(ctx context.Context, terms []Term, joined bool, each func(uint32, float64)) error {
	adv, err := p.b.Advanced()
	if err != nil {
		return err
	}
	r, err := adv.Reader()
	if err != nil {
		return err
	}
	defer r.Close()
	q, err := newQuery(r, terms, joined)
	if err != nil {
		return err
	}
	s, err := q.Searcher(ctx, r, p.b.Mapping(), search.SearcherOptions{})
	if err != nil {
		return err
	}
	defer s.Close()
	c := &search.SearchContext{DocumentMatchPool: search.NewDocumentMatchPool(s.DocumentMatchPoolSize()+1, 0), IndexReader: r}
	for n := 1; ; n++ {
		m, err := s.Next(c)
		if err != nil || m == nil {
			return err
		}
		if n%1000 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		id, err := r.ExternalID(m.IndexInternalID)
		if err != nil {
			return err
		}
		no, err := strconv.ParseUint(id, 10, 32)
		if err != nil {
			return err
		}
		each(uint32(no), m.Score)
		c.DocumentMatchPool.Put(m)
	}
}

func newQuery(r index.IndexReader, terms []Term, joined bool) (query.Query, error) {
	fields := []string{own}
	if joined {
		fields = append(fields, whole)
	}
	out := bleve.NewBooleanQuery()
	for _, t := range terms {
		var any []query.Query
		for _, f := range fields {
			q, err := termQuery(r, f, t)
			if err != nil {
				return nil, err
			}
			any = append(any, q)
		}
		out.AddMust(bleve.NewDisjunctionQuery(any...))
	}
	return out, nil
}

func termQuery(r index.IndexReader, field string, t Term) (query.Query, error) {
	var words [][]string
	for _, w := range t.Words {
		near, err := nearby(r, field, w)
		if err != nil {
			return nil, err
		}
		if len(t.Words) == 1 {
			var any []query.Query
			for _, n := range near {
				q := bleve.NewTermQuery(n.word)
				q.SetField(field)
				if n.word != w.Folded {
					q.SetBoost(farBoost / (1 + n.far))
				}
				any = append(any, q)
			}
			return bleve.NewDisjunctionQuery(any...), nil
		}
		var list []string
		for _, n := range near {
			list = append(list, n.word)
		}
		words = append(words, list)
	}
	return query.NewMultiPhraseQuery(words, field), nil
}

// farBoost keeps a misread form, which is rare and so counts much, below the word
// itself.
const farBoost = 0.1

type neighbour struct {
	word string
	far  float64
}

// maxNear bounds the printed forms of a word that are looked for in one part,
// the nearest first. Of a word on every tenth of 65,000 worn slips some hundred
// forms are known.
const maxNear = 200

// nearby lists the words of the part that may be a word, itself first.
func nearby(r index.IndexReader, field string, w Word) ([]neighbour, error) {
	out := []neighbour{{w.Folded, 0}}
	fuzzy, ok := r.(index.IndexReaderFuzzy)
	if w.limit == 0 || !ok {
		return out, nil
	}
	edits := 1
	if w.limit > shortLimit {
		edits = 2 // of which Is lets only those pass that readers mix up
	}
	dict, err := fuzzy.FieldDictFuzzy(field, w.Folded, edits, "")
	if err != nil {
		return nil, err
	}
	defer dict.Close()
	for {
		e, err := dict.Next()
		if err != nil {
			return nil, err
		}
		if e == nil {
			break
		}
		if d, ok := w.Is(e.Term); ok && e.Term != w.Folded {
			out = append(out, neighbour{e.Term, d})
		}
	}
	slices.SortStableFunc(out, func(a, b neighbour) int { return cmp.Compare(a.far, b.far) })
	return out[:min(len(out), maxNear)], nil
}
