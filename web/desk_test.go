package web

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"golang.org/x/image/draw"
	"golang.org/x/image/font"
	"golang.org/x/image/font/basicfont"
	"golang.org/x/image/math/fixed"

	"tankroll/archive"
	"tankroll/comply"
	"tankroll/index"
	"tankroll/index/query"
	"tankroll/record"
)

// testDesk is a real archive with a reader that has learnt its answers by
// heart: the pages are tested here, not the reading.
type testDesk struct {
	*archive.Store
	pictures int // how often an original was decoded
}

func newTestDesk(t testing.TB) *testDesk {
	t.Helper()
	store, err := archive.Open(t.Context(), t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	return &testDesk{Store: store}
}

var testNow = time.Date(2025, 3, 20, 9, 30, 0, 0, time.Local)

// newTestSite gives the pages over a desk, and the desk.
func newTestSite(t testing.TB) (http.Handler, *testDesk) {
	t.Helper()
	d := newTestDesk(t)
	return New(d, Options{Log: slog.New(slog.DiscardHandler), Now: func() time.Time { return testNow },
		Limits: Limits{Files: 3, FileBytes: 1 << 20, Bytes: 2 << 20}}), d
}

func (d *testDesk) Batch(site string, each func(record.Page) error) Batch {
	return testBatch{d, site, each}
}

type testBatch struct {
	*testDesk
	site string
	each func(record.Page) error
}

func (b testBatch) End(context.Context) error { return nil }

func (b testBatch) Add(ctx context.Context, name string, raw []byte) error {
	d, site := b.testDesk, b.site
	if _, _, err := image.DecodeConfig(bytes.NewReader(raw)); err != nil {
		return errors.New("not a picture that can be opened; send a JPEG, PNG, TIFF or PDF")
	}
	c, already, err := d.Keep(ctx, name, raw, site)
	if err != nil {
		return err
	}
	if !already {
		if err := d.SaveReadings(ctx, c.ID, []archive.Reading{learnt(name)}); err != nil {
			return err
		}
	}
	return b.each(record.Page{File: name, Page: 1, SHA256: c.SHA256, Capture: c.ID, Already: already})
}

func (d *testDesk) Picture(ctx context.Context, id string, page int) (image.Image, error) {
	d.pictures++
	raw, err := d.Original(ctx, id)
	if err != nil {
		return nil, err
	}
	img, _, err := image.Decode(bytes.NewReader(raw))
	return img, err
}

func (d *testDesk) Sites(ctx context.Context) ([]Site, error) {
	rows, err := d.Rows(ctx, archive.Filter{})
	var out []Site
	for _, r := range rows {
		s := Site{Number: r.Site, Name: r.SiteName}
		if !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return out, err
}

// Ask answers every question that names diesel with the diesel tank's tests.
func (d *testDesk) Ask(ctx context.Context, question string) (index.Answer, error) {
	if !strings.Contains(question, "diesel") {
		return index.Answer{Query: query.Query{NotUnderstood: strings.Fields(question)}}, nil
	}
	q := query.Query{Kind: record.TankTest, TestClass: "0.2", Result: "pass", Grade: "diesel", Order: query.Latest, Limit: 1, NotUnderstood: []string{"please"}}
	rows, err := d.Rows(ctx, archive.Filter{Kind: record.TankTest})
	rows = slices.DeleteFunc(rows, func(r archive.Row) bool { return r.Record.Text("grade") != "diesel" })
	a := index.Answer{Query: q, Rows: rows, Total: len(rows)}
	if len(rows) == 0 {
		a.Why = "the archive holds no tank tests at all"
		return a, err
	}
	a.Notes = []string{rows[0].ID + " is in doubt about its leak rate"}
	a.NewestSure, a.Maybe = &rows[0], rows[:1]
	a.Readings = []index.Reading{{Say: "the newest of each tank", Ask: "latest tank test, for each tank", Query: query.Query{Per: "tank", Limit: 1}, Total: 1, First: &rows[0]}}
	return a, err
}

// Find looks for the text in every line.
func (d *testDesk) Find(ctx context.Context, s index.Search) (index.Found, error) {
	if strings.HasPrefix(s.Text, "kind:") {
		return index.Found{}, fmt.Errorf("index: find: %w: %s is none, give one of alarm", index.ErrSearch, s.Text)
	}
	list, err := d.Captures(ctx)
	if err != nil {
		return index.Found{}, err
	}
	var out index.Found
	for _, c := range list {
		sl, err := d.Slip(ctx, c.ID, 1, 0)
		if err != nil {
			continue
		}
		h := index.Hit{Capture: c.ID, Page: 1}
		for n, l := range sl.Slip.Lines {
			if strings.Contains(strings.ToLower(l.String()), strings.ToLower(s.Text)) {
				line := index.HitLine{No: n, Text: l.String(), Box: l.Box}
				for _, w := range l.Words {
					if strings.Contains(strings.ToLower(w.Text), strings.ToLower(s.Text)) {
						line.Words = append(line.Words, index.HitWord{Text: w.Text, Box: w.Box})
					}
				}
				h.Lines = append(h.Lines, line)
			}
		}
		if len(h.Lines) > 0 && len(out.Hits) < s.Limit {
			h.Rows, _ = d.Rows(ctx, archive.Filter{Capture: c.ID})
			out.Total++
			out.Hits = append(out.Hits, h)
		}
	}
	return out, nil
}

func (d *testDesk) Coverage(ctx context.Context, site, from, to string) ([]comply.Requirement, error) {
	rows, err := d.Rows(ctx, archive.Filter{Kind: record.TankTest, Site: site})
	if err != nil || len(rows) == 0 {
		return nil, err
	}
	var ev []comply.Evidence
	for _, r := range rows {
		if r.Record.Text("result") == "pass" {
			ev = append(ev, comply.Evidence{ID: r.ID, At: r.At})
		}
	}
	return []comply.Requirement{
		{Site: "114", Equipment: "tank 1", Requirement: "tank leak test, 0.2 gal/h, every 30 days", Verdict: "gap", Evidence: ev,
			Gaps: []comply.Gap{{From: day(2024, 12, 1), To: day(2025, 3, 14), Days: 103, Due: day(2024, 12, 31)}}, NextDue: "2025-04-13", Source: "40 CFR 280.41(a)(1)"},
		{Site: "114", Equipment: "tank 2", Requirement: "tank leak test, 0.2 gal/h, every 30 days", Verdict: "unknown",
			Unknown: []comply.Gap{{From: day(2024, 3, 21), To: day(2025, 3, 20), Days: 364}},
			Source:  "40 CFR 280.41(a)(1)", Notes: []string{"the date of <b>r2</b>, the only test, is doubtful"}},
		{Site: "114", Equipment: "line 1", Requirement: "line leak test, 0.1 gal/h, every year", Verdict: "covered",
			Evidence: ev[:min(1, len(ev))], NextDue: "2026-03-14", Source: "40 CFR 280.41(b)(1)"},
	}, nil
}

func day(y int, m time.Month, d int) comply.Date { return comply.Date{Year: y, Month: m, Day: d} }

// cell is the size of a printed character on the drawn photo.
const cellW, cellH, slipX, slipY = 21, 39, 90, 70

// printout is the invented slip that every test photo shows.
var printout = []string{
	"RIVER ROAD FUEL",
	"SITE 114",
	"PRINTED 2025-03-14 06:41",
	"",
	"TANK LEAK TEST      0.2 GAL/H",
	"TANK 1  DIESEL",
	"START  2025-03-14 01:10",
	"END    2025-03-14 03:10",
	"VOLUME  6412 GAL",
	"RATE   -0.08 GAL/H",
	"RESULT  PASS",
	"",
	"TANK 2  UNLEADED",
	"END    2025-03-14 05:10",
	"RATE   -0.31 GAL/H",
	"RESULT  FAIL",
}

// photo draws the printout as a phone sees it that was held sideways: it must
// turn 90 degrees clockwise to be upright.
func photo(t testing.TB, mark string) []byte {
	t.Helper()
	w, h := 2*slipX+32*cellW, 2*slipY+(len(printout)+1)*cellH
	small := image.NewGray(image.Rect(0, 0, 32*7, (len(printout)+1)*13))
	draw.Draw(small, small.Bounds(), image.White, image.Point{}, draw.Src)
	d := font.Drawer{Dst: small, Src: image.NewUniform(color.Gray{60}), Face: basicfont.Face7x13}
	for i, l := range append(slices.Clone(printout), mark) {
		d.Dot = fixed.P(0, 13*i+11)
		d.DrawString(l)
	}
	up := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(up, up.Bounds(), image.NewUniform(color.RGBA{116, 104, 92, 255}), image.Point{}, draw.Src)
	draw.Draw(up, image.Rect(40, 30, w-40, h-30), image.NewUniform(color.RGBA{246, 245, 238, 255}), image.Point{}, draw.Src)
	draw.NearestNeighbor.Scale(up, image.Rect(slipX, slipY, slipX+32*cellW, slipY+(len(printout)+1)*cellH), small, small.Bounds(), draw.Over, nil)
	side := image.NewRGBA(image.Rect(0, 0, h, w))
	for y := range h {
		for x := range w {
			side.Set(y, w-1-x, up.At(x, y))
		}
	}
	var b bytes.Buffer
	enc := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := enc.Encode(&b, side); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// at is the place on the original of n characters from column col of a line.
func at(line, col, n int) record.Box {
	w := 2*slipX + 32*cellW
	x, y := slipX+col*cellW, slipY+line*cellH
	return record.Box{X: y, Y: w - x - n*cellW, W: cellH, H: n * cellW}
}

// learnt is what the reader says of a photo; the file's name asks for trouble.
func learnt(name string) archive.Reading {
	if strings.Contains(name, "blank") {
		return archive.Reading{Page: 1}
	}
	if strings.Contains(name, "unreadable") {
		return archive.Reading{Page: 1, Error: "the page took too long to read"}
	}
	w, h := float64(2*slipX+32*cellW), float64(2*slipY+(len(printout)+1)*cellH)
	s := record.Slip{Turn: 90, Paper: record.Paper{Ink: 0.7, Blurred: strings.Contains(name, "blurred"),
		CutOff: strings.Contains(name, "cutoff"), EndOfRoll: strings.Contains(name, "roll")},
		Corners: [4]record.Point{{X: 30, Y: w - 40}, {X: 30, Y: 40}, {X: h - 30, Y: 40}, {X: h - 30, Y: w - 40}}}
	for i, text := range printout {
		if text == "" {
			continue
		}
		l := record.Line{Box: at(i, 0, len(text))}
		for col, word := range fieldsAt(text) {
			l.Words = append(l.Words, record.Word{Text: word, Col: float64(col), Width: float64(len(word)), Box: at(i, col, len(word)), Confidence: 0.9})
		}
		slices.SortFunc(l.Words, func(a, b record.Word) int { return int(a.Col - b.Col) })
		s.Lines = append(s.Lines, l)
	}
	rep := record.Report{Records: []record.Record{firstTank(), secondTank()}}
	site, number, printed := said("RIVER ROAD FUEL", "RIVER ROAD FUEL", at(0, 0, 15)), said("114", "114", at(1, 5, 3)), said("2025-03-14T06:41", "2025-03-14 06:41", at(2, 8, 16))
	if strings.Contains(name, "hostile") {
		site.Value, site.Text = `<script>alert(1)</script>`, `<script>alert(1)</script>`
		f := rep.Records[0].Fields["product"]
		f.Value, f.Text = `"><img src=x onerror=alert(2)>`, `"><img src=x onerror=alert(2)>`
		rep.Records[0].Fields["product"] = f
		rep.Records[0].Doubts = append(rep.Records[0].Doubts, record.Doubt{Field: "product", Why: "</p><script>alert(3)</script>"})
	}
	rep.Header = record.Header{Site: &site, SiteNumber: &number, PrintedAt: &printed}
	return archive.Reading{Page: 1, OCRVersion: 1, GrammarVersion: 1, Slips: []archive.SlipReading{{Slip: s, Report: rep}}}
}

func fieldsAt(text string) map[int]string {
	out := map[int]string{}
	for i := 0; i < len(text); {
		if text[i] == ' ' {
			i++
			continue
		}
		word := strings.Fields(text[i:])[0]
		out[i] = word
		i += len(word)
	}
	return out
}

func said(value any, text string, b record.Box) record.Field {
	return record.Field{Value: value, Text: text, Box: b, Confidence: 0.995, Sure: true, Origin: record.Printed}
}

func quantity(v float64, unit, text string, b record.Box) record.Field {
	f := said(v, text, b)
	f.Unit = unit
	return f
}

func firstTank() record.Record {
	rate := quantity(-0.08, "gal/h", "-0.08 GAL/H", at(9, 7, 11))
	rate.Sure, rate.Confidence = false, 0.71
	started := said("2025-03-14T01:10", "2025-03-14 01:10", at(6, 7, 16))
	started.Sure, started.Confidence = false, 0.8
	volume := quantity(6412, "gal", "6A12 GAL", at(8, 8, 8))
	volume.Origin = record.Repaired
	return record.Record{Kind: record.TankTest, Fields: record.Fields{
		"tank": said("1", "1", at(5, 5, 1)), "product": said("DIESEL", "DIESEL", at(5, 8, 6)), "grade": said("diesel", "DIESEL", at(5, 8, 6)),
		"test_class": said("0.2", "0.2 GAL/H", at(4, 20, 9)), "started_at": started,
		"ended_at": said("2025-03-14T03:10", "2025-03-14 03:10", at(7, 7, 16)), "end_volume": volume,
		"leak_rate": rate, "result": said("pass", "PASS", at(10, 8, 4)),
	}, Doubts: []record.Doubt{{Field: "leak_rate", Why: "the 8 could be a 3"}, {Field: "started_at", Why: "the 1 could be a 7"}}}
}

func secondTank() record.Record {
	return record.Record{Kind: record.TankTest, Fields: record.Fields{
		"tank": said("2", "2", at(12, 5, 1)), "product": said("UNLEADED", "UNLEADED", at(12, 8, 8)), "grade": said("regular", "UNLEADED", at(12, 8, 8)),
		"ended_at": said("2025-03-14T05:10", "2025-03-14 05:10", at(13, 7, 16)), "leak_rate": quantity(-0.31, "gal/h", "-0.31 GAL/H", at(14, 7, 11)),
		"result": said("fail", "FAIL", at(15, 8, 4)),
	}}
}

// add sends a photo straight to the desk and gives its capture's id.
func (d *testDesk) add(t testing.TB, name string) string {
	t.Helper()
	var id string
	err := d.Batch("", func(p record.Page) error { id = p.Capture; return nil }).Add(t.Context(), name, photo(t, name))
	if err != nil {
		t.Fatal(err)
	}
	return id
}

// recordID finds the record of a tank on a capture.
func (d *testDesk) recordID(t testing.TB, capture, tank string) string {
	t.Helper()
	rows, err := d.Rows(t.Context(), archive.Filter{Capture: capture, Rejected: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows {
		if r.Record.Text("tank") == tank {
			return r.ID
		}
	}
	t.Fatalf("capture %s has no record of tank %s", capture, tank)
	return ""
}

func get(t testing.TB, h http.Handler, path string) *httptest.ResponseRecorder {
	t.Helper()
	r := httptest.NewRequest("GET", "http://localhost:8080"+path, nil)
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

func mustGet(t testing.TB, h http.Handler, path string) string {
	t.Helper()
	w := get(t, h, path)
	if w.Code != http.StatusOK {
		t.Fatalf("GET %s: status %d\n%s", path, w.Code, w.Body)
	}
	return w.Body.String()
}

func wantAll(t testing.TB, what, page string, want ...string) {
	t.Helper()
	for _, s := range want {
		if !strings.Contains(page, s) {
			t.Errorf("%s does not show %q", what, s)
		}
	}
	if t.Failed() {
		t.Log(page)
	}
}

func wantNone(t testing.TB, what, page string, not ...string) {
	t.Helper()
	for _, s := range not {
		if strings.Contains(page, s) {
			t.Errorf("%s shows %q", what, s)
		}
	}
}

var _ Desk = (*testDesk)(nil)
