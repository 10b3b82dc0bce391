package web

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"sync"

	"tankroll/archive"
	"tankroll/internal/intake"
	"tankroll/record"
)

// Stand gives the pages a real desk to stand on: its archive, reader and index.
func Stand(d *intake.Desk) Desk {
	return &stand{Store: d.Store(), Desk: d, sites: map[string]Site{}}
}

// stand is a desk with its archive, and the sites that its records name.
type stand struct {
	*archive.Store
	*intake.Desk

	mu    sync.Mutex
	seq   int64           // what sites is up to
	sites map[string]Site // by record
	list  []Site
}

// Batch takes in pictures that were sent together.
func (s *stand) Batch(site string, each func(record.Page) error) Batch {
	return s.Desk.Batch(site, each)
}

// Sites lists the sites that records surely belong to. Only what changed since
// the last call is read from the archive.
func (s *stand) Sites(ctx context.Context) ([]Site, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	now, err := s.Seq(ctx)
	if err != nil || now == s.seq {
		return s.list, err
	}
	ch, err := s.Changes(ctx, s.seq)
	if err != nil {
		return nil, err
	}
	rows, err := s.Rows(ctx, archive.Filter{SinceSeq: s.seq, Rejected: true})
	if err != nil {
		return nil, err
	}
	for _, id := range ch.Gone {
		delete(s.sites, id)
	}
	for _, row := range rows {
		if row.Rejected || !row.SiteSure || row.Site == "" {
			delete(s.sites, row.ID)
			continue
		}
		s.sites[row.ID] = Site{row.Site, row.SiteName}
	}
	s.seq, s.list = ch.Seq, distinct(s.sites)
	return s.list, nil
}

// distinct gives each site once, by number, with the name that stands on most
// of its records.
func distinct(byRecord map[string]Site) []Site {
	count := map[Site]int{}
	for _, s := range byRecord {
		count[s]++
	}
	best := map[string]Site{}
	for s, n := range count {
		b, ok := best[s.Number]
		if !ok || n > count[b] || n == count[b] && s.Name < b.Name {
			best[s.Number] = s
		}
	}
	var out []Site
	for _, s := range best {
		if strings.EqualFold(s.Name, s.Number) {
			s.Name = ""
		}
		out = append(out, s)
	}
	// As numbers: 9 before 10.
	slices.SortFunc(out, func(a, b Site) int {
		return cmp.Or(cmp.Compare(len(a.Number), len(b.Number)), cmp.Compare(a.Number, b.Number))
	})
	return out
}
