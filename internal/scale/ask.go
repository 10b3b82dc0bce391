package main

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"tankroll/archive"
	"tankroll/index"
)

var today = time.Date(2025, 1, 15, 12, 0, 0, 0, time.UTC)

// questions are asked with a site, a tank, a year and a month of their own each
// time.
var questions = []string{
	"last passing 0.2 test on the diesel tank at site {site}",
	"last passing 0.2 test on the diesel tank",
	"last passing line test of line {tank} at {site}",
	"first passing 0.2 tank test of {year} at {name}",
	"how many tank tests failed in {year}",
	"how many tank tests failed",
	"failed line tests at {site} since {year}-01-01",
	"alarms in {month} {year} at site {site}",
	"last 5 fuel alarms at {name}",
	"how many alarms were raised in {month} {year}",
	"deliveries of premium in {month} {year} at {site}",
	"last delivery of diesel at {name}",
	"inventory of tank {tank} at {site} in {month} {year}",
	"last inventory report of the regular tank at site {site}",
	"inconclusive 0.1 tank tests in {month} {year}",
	"last aborted tank test at {site}",
	"last tank test at site 99999",
	"highest water in tank {tank} at {site}",
	"doubtful tank tests in {month} {year}",
	"first failed line test",
}

// wholes are asked of every site, and answered for each tank, site or month.
var wholes = []string{
	"which tanks have no passing 0.2 test in {month} {year}",
	"which sites have no delivery in {month} {year}",
	"how many alarms for each site in {year}",
	"failed tank tests by month in {year}",
	"how much diesel was delivered in {year}",
	"which site had the most failed line tests",
}

var searches = []string{"diesel", "d1esel", "\"tightness report\" {name}", "\"fuel in sump\" site:{site}", "dispenser -raised from:{year}-03 to:{year}-04",
	"kind:alarm overfill site:{site}", "tempreature {site}", "product:diesel result:fail from:{year}-06 to:{year}-06", "inconclusive", "8123.4"}

func (w *world) ask(template string) string {
	s := w.site(w.rng.Intn(w.sites))
	months := []string{"january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december"}
	out := template
	for _, p := range [][2]string{{"{site}", s.number}, {"{name}", s.name}, {"{tank}", fmt.Sprint(1 + w.rng.Intn(4))},
		{"{year}", fmt.Sprint(firstYear + w.rng.Intn(years))}, {"{month}", months[w.rng.Intn(12)]}} {
		out = strings.ReplaceAll(out, p[0], p[1])
	}
	return out
}

func child(job, dir string, asks int) error {
	ctx := context.Background()
	store, err := archive.Open(ctx, dir)
	if err != nil {
		return err
	}
	defer store.Close()
	var r result
	at := filepath.Join(dir, "index")
	start := time.Now()
	if job == "build" {
		err = index.Rebuild(ctx, at, store)
		r.Seconds = time.Since(start).Seconds()
	} else {
		r, err = asking(ctx, job, at, store, asks)
	}
	if err != nil {
		return err
	}
	return json.NewEncoder(os.Stdout).Encode(r)
}

func asking(ctx context.Context, job, dir string, store *archive.Store, asks int) (result, error) {
	var r result
	ix, err := index.Open(ctx, dir, store)
	if err != nil {
		return r, err
	}
	defer ix.Close()
	if job == "cold" {
		_, err := ix.AskWords(ctx, questions[1], today)
		return r, err
	}
	last, err := store.LastCapture(ctx)
	if err != nil {
		return r, err
	}
	r.Slips = int(last)                                                            // each on a picture of its own
	w := &world{rand.New(rand.NewSource(2)), max(int(last)*38/10/recordsASite, 1)} // 23 records on six slips
	type timed struct {
		ms   float64
		what string
	}
	var all []timed
	for i := range asks {
		q := w.ask(questions[i%len(questions)])
		start := time.Now()
		a, err := ix.AskWords(ctx, q, today)
		if err != nil {
			return r, fmt.Errorf("%s: %w", q, err)
		}
		ms := 1000 * time.Since(start).Seconds()
		all = append(all, timed{ms, fmt.Sprintf("%6.1f ms, %d answers: %s", ms, a.Total, q)})
		r.Asks = append(r.Asks, ms)
		r.Total += a.Total
	}
	slices.SortFunc(all, func(a, b timed) int { return int(1e6 * (b.ms - a.ms)) })
	for _, t := range all[:min(5, len(all))] {
		r.Slow = append(r.Slow, t.what)
	}
	for i := range max(asks/5, 10) {
		q := w.ask(searches[i%len(searches)])
		start := time.Now()
		if _, err := ix.Find(ctx, index.Search{Text: q, Limit: 20, Facets: i%2 == 0}); err != nil {
			return r, fmt.Errorf("%s: %w", q, err)
		}
		r.Finds = append(r.Finds, 1000*time.Since(start).Seconds())
	}
	for i := range max(asks/20, 12) {
		q := w.ask(wholes[i%len(wholes)])
		start := time.Now()
		if _, err := ix.AskWords(ctx, q, today); err != nil {
			return r, fmt.Errorf("%s: %w", q, err)
		}
		r.Wholes = append(r.Wholes, 1000*time.Since(start).Seconds())
	}
	slices.Sort(r.Wholes)
	slices.Sort(r.Asks)
	slices.Sort(r.Finds)
	return r, nil
}
