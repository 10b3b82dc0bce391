package index

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/blevesearch/bleve/v2"

	"tankroll/archive"
	"tankroll/record"
)

// Hit is a slip that shows what was searched for.
type Hit struct {
	Capture string
	Page    int // from 1
	Slip    int // from 0
	Lines   []HitLine
	Rows    []archive.Row // the slip's records
}

// HitLine is a printed line with a word that was searched for.
type HitLine struct {
	Text string
	Box  record.Box // on the original
}

// Find searches the printed lines of all slips, the best match first: words
// that must all be there, "phrases in quotes", and -words that must not be
// there. Misread characters are allowed for.
func (ix *Index) Find(ctx context.Context, text string, limit int) ([]Hit, error) {
	terms := parseTerms(text)
	find := bleve.NewBooleanQuery()
	wanted := 0
	for _, t := range terms {
		if t.not {
			find.AddMustNot(wordQuery("text", t))
			continue
		}
		find.AddMust(wordQuery("text", t))
		wanted++
	}
	if wanted == 0 {
		return nil, fmt.Errorf("index: find %q: no word to look for, give at least one", text)
	}
	var hits []Hit
	err := ix.use(ctx, func(b bleve.Index) error {
		hits = nil
		res, err := search(ctx, b, find, min(max(limit, 1), MaxRows), nil)
		if err != nil {
			return err
		}
		for _, id := range ids(res) {
			h, err := ix.hit(ctx, id, terms)
			if isNotFound(err) {
				continue // read again just now
			}
			if err != nil {
				return err
			}
			hits = append(hits, h)
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("index: find %q: %w", text, err)
	}
	return hits, nil
}

func (ix *Index) hit(ctx context.Context, id string, terms []term) (Hit, error) {
	parts := strings.Split(id, "/")
	if len(parts) != 3 {
		return Hit{}, fmt.Errorf("%w: slip %q", errUnfit, id)
	}
	page, e1 := strconv.Atoi(parts[1])
	slip, e2 := strconv.Atoi(parts[2])
	if e1 != nil || e2 != nil {
		return Hit{}, fmt.Errorf("%w: slip %q", errUnfit, id)
	}
	h := Hit{Capture: parts[0], Page: page, Slip: slip}
	s, err := ix.src.Slip(ctx, h.Capture, page, slip)
	if err != nil {
		return h, err
	}
	for _, l := range s.Slip.Lines {
		if text := l.String(); shows(fold(text), terms) {
			h.Lines = append(h.Lines, HitLine{text, l.Box})
		}
	}
	here := record.Ref{Capture: h.Capture, Page: page, Slip: slip}
	begins := here // of a part of a joined slip, the records that stand on it
	if s.Into != nil {
		begins = *s.Into
	}
	rows, err := ix.src.Rows(ctx, archive.Filter{Capture: begins.Capture})
	for _, r := range rows {
		if r.Page != begins.Page || r.Slip != begins.Slip {
			continue
		}
		on := func(b record.Box) bool { return r.On(b).Same(here) }
		if s.Into == nil || slices.ContainsFunc(r.Record.Areas(), on) {
			h.Rows = append(h.Rows, r)
		}
	}
	return h, err
}

// shows reports whether a line holds a word that was searched for.
func shows(line []string, terms []term) bool {
	for _, t := range terms {
		for i, w := range t.words {
			for _, l := range line {
				if !t.not && (l == w || t.fuzzy[i] && oneOff(l, w)) {
					return true
				}
			}
		}
	}
	return false
}

// oneOff reports whether two words differ by one character at most.
func oneOff(x, y string) bool {
	a, b := []rune(x), []rune(y)
	if len(a) > len(b) {
		a, b = b, a
	}
	if len(b)-len(a) > 1 {
		return false
	}
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	if len(a) == len(b) {
		return i == len(a) || string(a[i+1:]) == string(b[i+1:])
	}
	return string(a[i:]) == string(b[i+1:])
}
