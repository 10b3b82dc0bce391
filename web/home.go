package web

import (
	"cmp"
	"context"
	"net/http"
	"slices"
	"strconv"

	"tankroll/archive"
)

const (
	lastSent = 5  // on the first page: what a clerk sent just now
	perList  = 25 // captures on one page of the list
)

// listed is a capture in a list, with what was found on it.
type listed struct {
	Capture  archive.Capture
	Records  int
	Doubtful int // not sure, and not yet decided by a person
	Kinds    []string
	Site     string
	Warn     string // what is wrong with the picture, in a few words
}

type homeData struct {
	Sites  []Site
	Site   string
	Last   []listed
	Limits Limits
}

// home is the first page: photograph, or look for something.
func (s *site) home(w http.ResponseWriter, r *http.Request) error {
	sites, err := s.desk.Sites(r.Context())
	if err != nil {
		return err
	}
	last, _, err := s.latest(r.Context(), 0, lastSent)
	if err != nil {
		return err
	}
	return s.show(w, http.StatusOK, "home", frame{Title: "Send a printout", Here: "send",
		Data: homeData{sites, cookie(r, siteCookie), last, s.opt.Limits}})
}

type listData struct {
	List         []listed
	Newer, Older int // page numbers, 0 for none
	Total        int
}

// captureList shows every printout that was sent, the latest first.
func (s *site) captureList(w http.ResponseWriter, r *http.Request) error {
	page := 1
	if q := r.URL.Query().Get("page"); q != "" {
		n, err := strconv.Atoi(q)
		if err != nil || n < 1 || n > 1<<20 {
			return errNoPage
		}
		page = n
	}
	list, total, err := s.latest(r.Context(), (page-1)*perList, perList)
	if err != nil {
		return err
	}
	if len(list) == 0 && page > 1 {
		return errNoPage
	}
	d := listData{List: list, Total: total, Newer: page - 1}
	if page*perList < total {
		d.Older = page + 1
	}
	return s.show(w, http.StatusOK, "captures", frame{Title: "Printouts", Here: "captures", Data: d})
}

// latest gives up to n captures after skipping some, the latest first, and how
// many there are.
func (s *site) latest(ctx context.Context, skip, n int) ([]listed, int, error) {
	all, err := s.desk.Captures(ctx)
	if err != nil {
		return nil, 0, err
	}
	slices.SortStableFunc(all, func(a, b archive.Capture) int {
		return cmp.Or(b.AddedAt.Compare(a.AddedAt), cmp.Compare(len(b.ID), len(a.ID)), cmp.Compare(b.ID, a.ID))
	})
	var out []listed
	for _, c := range all[min(skip, len(all)):min(skip+n, len(all))] {
		l, err := s.list(ctx, c)
		if err != nil {
			return nil, 0, err
		}
		out = append(out, l)
	}
	return out, len(all), nil
}

// list says what was found on a capture.
func (s *site) list(ctx context.Context, c archive.Capture) (listed, error) {
	l := listed{Capture: c, Site: siteWords(c.Site, "")}
	if c.Site == "" {
		l.Site = ""
	}
	rows, err := s.desk.Rows(ctx, archive.Filter{Capture: c.ID})
	if err != nil {
		return l, err
	}
	for _, r := range rows {
		if r.Rejected {
			continue
		}
		l.Records++
		if !r.Sure() {
			l.Doubtful++
		}
		if k := kindWords(r.Record.Kind); !slices.Contains(l.Kinds, k) {
			l.Kinds = append(l.Kinds, k)
		}
		if r.Site != "" || r.SiteName != "" {
			l.Site = siteWords(r.Site, r.SiteName)
		}
	}
	readings, err := s.desk.Readings(ctx, c.ID)
	if err != nil {
		return l, err
	}
	l.Warn = troubleOf(c, readings)
	return l, nil
}

// troubleOf says in a few words why a picture should be taken again, if so.
func troubleOf(c archive.Capture, readings []archive.Reading) string {
	if !c.Read {
		return "kept, not read yet"
	}
	for _, p := range readings {
		for _, sl := range p.Slips {
			slip, _ := sl.Joined()
			switch {
			case sl.Into != nil:
				return "goes with " + sl.Into.Capture + ", read as one slip"
			case slip.Paper.Blurred:
				return "take it again: blurred"
			case slip.Paper.CutOff:
				return "take it again: cut off"
			}
		}
		if p.Error != "" || len(p.Slips) == 0 {
			return "take it again: nothing could be read"
		}
	}
	return ""
}
