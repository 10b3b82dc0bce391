package web

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"tankroll/index"
	"tankroll/record"
)

type findData struct {
	Words      string
	Sort       string
	Oldest     bool
	Understood string
	Wrong      string // what to change, when it cannot be searched for
	Total      int
	More       int
	Hits       []hitView
	Facets     []facetView
}

type facetView struct {
	Name   string
	Counts []countView
	More   int
}

type countView struct {
	Label, Href string
	Slips       int
}

// find searches the printed words and counts what was found.
func (s *site) find(w http.ResponseWriter, r *http.Request) error {
	q := r.URL.Query()
	d := findData{Words: tidy(q.Get("q"), longestQuestion), Sort: q.Get("sort"), Oldest: q.Get("oldest") != ""}
	if d.Sort != index.ByPrinted && d.Sort != index.ByTested {
		d.Sort = index.ByMatch
	}
	title := "Search"
	if d.Words != "" {
		title = d.Words
		if err := s.search(r, &d); err != nil {
			return err
		}
	}
	return s.show(w, http.StatusOK, "find", frame{Title: title, Here: "ask", Data: d})
}

func (s *site) search(r *http.Request, d *findData) error {
	found, err := s.desk.Find(r.Context(), index.Search{Text: d.Words, Sort: d.Sort, Oldest: d.Oldest, Limit: foundSlips, Facets: true})
	if errors.Is(err, index.ErrSearch) {
		d.Wrong = wrongSearch(err)
		return nil
	}
	if err != nil {
		return err
	}
	d.Understood, d.Total, d.More = found.Understood, found.Total, found.Total-len(found.Hits)
	for _, h := range found.Hits {
		v, err := s.hitView(r, h)
		if err != nil {
			return err
		}
		d.Hits = append(d.Hits, v)
	}
	for _, f := range found.Facets {
		if v := d.facet(f); len(v.Counts) > 0 {
			d.Facets = append(d.Facets, v)
		}
	}
	return nil
}

// wrongSearch says what to change about a search.
func wrongSearch(err error) string {
	_, line, _ := strings.Cut(err.Error(), index.ErrSearch.Error()+": ")
	return line
}

// facet shows a facet; each value leads to the search with it.
func (d findData) facet(f index.Facet) facetView {
	v := facetView{Name: f.Name, More: f.More}
	for _, c := range f.Counts {
		filter := f.Name + ":" + c.Value
		if strings.ContainsAny(c.Value, " \t") {
			filter = fmt.Sprintf(`%s:"%s"`, f.Name, c.Value)
		}
		if f.Name == "month" {
			filter = "from:" + c.Value + " to:" + c.Value
		}
		count := countView{Label: strings.ReplaceAll(c.Value, "_", " "), Slips: c.Slips}
		if first, _, _ := strings.Cut(filter, ":"); !strings.Contains(" "+strings.ToLower(d.Words), " "+first+":") {
			q := url.Values{"q": {d.Words + " " + filter}}
			if d.Sort != index.ByMatch {
				q.Set("sort", d.Sort)
			}
			count.Href = "/find?" + q.Encode()
		}
		v.Counts = append(v.Counts, count)
	}
	return v
}

// cutView is a line cut from the picture of its slip, with the words that were
// looked for framed on the picture's own pixels.
type cutView struct {
	Href       string
	PicW, PicH int
	X, Y, W, H int
	Marks      []record.Box
}

func newCut(o overlay, l index.HitLine) *cutView {
	if !o.Shown() || l.Box.IsZero() || l.Box.Part != o.part {
		return nil
	}
	b := place(l.Box, o.area, o.turn)
	margin := max(4, b.H/3)
	c := &cutView{Href: o.Href, PicW: o.W, PicH: o.H, X: max(b.X-margin, 0), Y: max(b.Y-margin, 0)}
	c.W, c.H = min(b.X+b.W+margin, o.W)-c.X, min(b.Y+b.H+margin, o.H)-c.Y
	if c.W <= 0 || c.H <= 0 {
		return nil
	}
	for _, w := range l.Words {
		if !w.Box.IsZero() && w.Box.Part == o.part {
			c.Marks = append(c.Marks, place(w.Box, o.area, o.turn))
		}
	}
	return c
}
