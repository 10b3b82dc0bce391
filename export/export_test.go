package export

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"html"
	"image"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tankroll/archive"
	"tankroll/record"
)

func field(v any, text string, sure bool) record.Field {
	return record.Field{Value: v, Text: text, Box: record.Box{X: 40, Y: 100, W: 300, H: 20}, Confidence: 0.99, Sure: sure, Origin: record.Printed}
}

// store is an archive with records of two sites and three years: one whose texts
// a spreadsheet or a browser would run, one in doubt, one typed in, one rejected,
// and a picture on which nothing was read.
func store(t *testing.T) *archive.Store {
	t.Helper()
	ctx := context.Background()
	s, err := archive.Open(ctx, t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	for i, c := range []struct {
		site, product, at string
	}{{"0114", "=HYPERLINK(\"http://x\")", "2025-03-14T06:41"}, {"114", "<script>alert(1)</script>", "2026-01-02"}, {"Oak/..\\Street", "-DIESEL, \"B\"", "2024-05-06T07:08"}, {"114", "DIESEL", "2026-02-03"}} {
		k, _, err := s.Keep(ctx, fmt.Sprintf("@binder/<%d>.jpg", i), fmt.Appendf(nil, "\xff\xd8\xff picture %d", i), "")
		must(err)
		rate := field(-0.028, "-0.028", true)
		rate.Unit = "gal/h"
		site := field(c.site, c.site, true)
		header := record.Header{SiteNumber: &site}
		r := record.Record{Kind: record.TankTest, Fields: record.Fields{"tank": field("3", "3", true), "product": field(c.product, c.product, true),
			"ended_at": field(c.at, c.at, i != 1), "leak_rate": rate, "result": field("pass", "PASSED", true)}}
		if i == 1 {
			r.Doubts = []record.Doubt{{Field: "ended_at", Why: "day and month could be swapped"}, {Why: "the slip is cut off"}}
		}
		must(s.SaveReadings(ctx, k.ID, []archive.Reading{{Page: 1, Slips: []archive.SlipReading{{Report: record.Report{Header: header, Records: []record.Record{r}}}}}}))
	}
	must(s.Decide(ctx, archive.Decision{Record: "r4", Action: archive.Reject}))
	_, err = s.Enter(ctx, archive.Entry{Site: "114", Kind: record.Inventory, Fields: map[string]any{"tank": "3", "volume": 4120, "at": "2026-02-01T06:00"}, Note: "+roll torn"})
	must(err)
	_, _, err = s.Keep(ctx, "blank.jpg", []byte("\xff\xd8\xff blank"), "")
	must(err)
	return s
}

func readCSV(t *testing.T, path string) []map[string]string {
	t.Helper()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Count(raw, []byte("\n")) != bytes.Count(raw, []byte("\r\n")) {
		t.Errorf("%s: a line ends without CRLF", path)
	}
	lines, err := csv.NewReader(bytes.NewReader(raw)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, l := range lines[1:] {
		m := map[string]string{}
		for i, name := range lines[0] {
			if _, twice := m[name]; twice {
				t.Errorf("%s: two columns %s", path, name)
			}
			m[name] = l[i]
		}
		out = append(out, m)
	}
	return out
}

func TestCSV(t *testing.T) {
	ctx := context.Background()
	dir := filepath.Join(t.TempDir(), "out")
	if n, err := CSV(ctx, store(t), dir, archive.Filter{}); err != nil || n != 4 {
		t.Fatalf("%d %v", n, err)
	}
	tests := readCSV(t, filepath.Join(dir, "tank_test.csv"))
	var got []string
	for _, m := range tests {
		got = append(got, strings.Join([]string{m["id"], m["site"], m["when"], m["product"], m["leak_rate"], m["leak_rate_unit"], m["ended_at_sure"], m["duration"], m["duration_sure"], m["sure"], m["doubts"], m["capture"], m["file"], m["page"]}, "|"))
	}
	want := []string{
		`r3|OAK/..\STREET|2024-05-06T07:08|'-DIESEL, "B"|-0.028|gal/h|yes|||yes||c3|'@binder/<2>.jpg|1`,
		`r1|114|2025-03-14T06:41|'=HYPERLINK("http://x")|-0.028|gal/h|yes|||yes||c1|'@binder/<0>.jpg|1`,
		`r2|114|2026-01-02|<script>alert(1)</script>|-0.028|gal/h|no|||no|ended_at: day and month could be swapped; the slip is cut off|c2|'@binder/<1>.jpg|1`,
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	for _, m := range tests {
		if len(m["sha256"]) != 64 {
			t.Errorf("%s: sha256 %q", m["id"], m["sha256"])
		}
	}
	inv := readCSV(t, filepath.Join(dir, "inventory.csv"))
	if len(inv) != 1 || inv[0]["by_hand"] != "yes" || inv[0]["volume"] != "4120" || inv[0]["note"] != "'+roll torn" || inv[0]["capture"] != "" || inv[0]["page"] != "" {
		t.Errorf("inventory: %v", inv)
	}
}

func TestGuard(t *testing.T) {
	for in, want := range map[string]string{"": "", "a=b": "a=b", "=1": "'=1", "+1": "'+1", "-1": "'-1", "@x": "'@x", "\tx": "'\tx", "\rx": "'\rx", "'x": "''x", "ä": "ä", "5": "5"} {
		if got := text(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
		if back := strings.TrimPrefix(text(in), "'"); back != in {
			t.Errorf("%q does not come back: %q", in, back)
		}
	}
}

func TestJSONL(t *testing.T) {
	ctx := context.Background()
	s := store(t)
	for name, c := range map[string]struct {
		f    archive.Filter
		want string
	}{
		"all":  {archive.Filter{}, "r3 r1 r2 r5"},
		"site": {archive.Filter{Site: "0114"}, "r1 r2 r5"},
		"kind": {archive.Filter{Kind: record.Inventory}, "r5"},
		"from": {archive.Filter{From: "2026-01-01"}, "r2 r5"},
		"to":   {archive.Filter{To: "2025-03-14"}, "r3 r1"},
		"none": {archive.Filter{Site: "9"}, ""},
	} {
		file := filepath.Join(t.TempDir(), "out.jsonl")
		n, err := JSONL(ctx, s, file, false, c.f)
		if err != nil {
			t.Fatal(err)
		}
		raw, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var ids []string
		for l := range strings.Lines(string(raw)) {
			var r Line
			if err := json.Unmarshal([]byte(l), &r); err != nil {
				t.Fatal(err)
			}
			row, err := s.Record(ctx, r.ID)
			if err != nil || len(r.Record.Fields) != len(row.Record.Fields) || r.Sure != row.Sure() || r.At != row.At || (r.SHA256 == "") != r.ByHand {
				t.Errorf("%s: %+v is not %+v %v", name, r, row, err)
			}
			ids = append(ids, r.ID)
		}
		if got := strings.Join(ids, " "); got != c.want || n != len(ids) {
			t.Errorf("%s: %s, want %s", name, got, c.want)
		}
		if _, err := JSONL(ctx, s, file, false, c.f); !errors.Is(err, fs.ErrExist) {
			t.Errorf("%s: a file that is there: %v", name, err)
		}
	}
}

// TestFolder follows every link of every page: what it names is in the folder,
// and nothing on a page runs.
func TestFolder(t *testing.T) {
	ctx := context.Background()
	s := store(t)
	dir := filepath.Join(t.TempDir(), "out")
	var cuts []string
	cut := func(_ context.Context, capture string, page int, box record.Box, turn int) (image.Image, error) {
		cuts = append(cuts, fmt.Sprintf("%s/%d", capture, page))
		if capture == "c3" {
			return nil, errors.New("cannot be decoded")
		}
		return image.NewGray(image.Rect(0, 0, box.W, box.H)), nil
	}
	n, err := Folder(ctx, s, dir, FolderOptions{Cut: cut})
	if err != nil || n != 4 || len(cuts) != 3 {
		t.Fatalf("%d %v %v", n, cuts, err)
	}
	links := regexp.MustCompile(`(?:href|src)="([^"]*)"`)
	seen := 0
	err = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || filepath.Ext(path) != ".html" {
			return err
		}
		raw, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if bytes.Contains(bytes.ToLower(raw), []byte("<script")) {
			t.Errorf("%s holds a script", path)
		}
		for _, m := range links.FindAllStringSubmatch(string(raw), -1) {
			to, err := url.PathUnescape(html.UnescapeString(m[1]))
			if err != nil {
				t.Error(err)
			}
			if _, err := os.Stat(filepath.Join(filepath.Dir(path), to)); err != nil || strings.Contains(to, ":") || strings.HasPrefix(to, "/") {
				t.Errorf("%s leads to %s: %v", path, to, err)
			}
			seen++
		}
		return nil
	})
	if err != nil || seen < 15 {
		t.Errorf("%d links, %v", seen, err)
	}
	for name, want := range map[string][]string{
		"index.html": {"4 records", "5 pictures", "sites/site-114/2026/index.html", "sites/site-oak-street/2024/index.html"},
		"sites/site-114/2026/index.html": {"&lt;script&gt;alert(1)&lt;/script&gt;", "day and month could be swapped", "doubtful: look at the picture",
			"typed in from paper by a person", "There is no picture.", "-0.028 gal/h", `src="parts/r2-1.jpg"`, "../../../originals/c2.jpg"},
		"sites/site-oak-street/2024/index.html": {"../../../originals/c3.jpg"},
		"pictures.csv":                          {"c5,originals/c5.jpg,blank.jpg,"},
		"SHA256SUMS":                            {"  originals/c5.jpg"},
		"sites/site-114/2025/tank_test.csv":     {"r1,114"},
		"sites/site-114/2025/records.jsonl":     {`"id":"r1"`},
	} {
		raw, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
		if err != nil {
			t.Error(err)
		}
		for _, w := range want {
			if !strings.Contains(string(raw), w) {
				t.Errorf("%s does not say %q:\n%s", name, w, raw)
			}
		}
	}
	for id, want := range map[string]string{"c1": "\xff\xd8\xff picture 0", "c5": "\xff\xd8\xff blank"} {
		if raw, err := os.ReadFile(filepath.Join(dir, "originals", id+".jpg")); err != nil || string(raw) != want {
			t.Errorf("%s: %q %v", id, raw, err)
		}
	}
	only := filepath.Join(t.TempDir(), "one")
	if n, err := Folder(ctx, s, only, FolderOptions{Filter: archive.Filter{From: "2025-01-01", To: "2025-12-31"}}); err != nil || n != 1 {
		t.Errorf("%d %v", n, err)
	}
	if list, err := os.ReadDir(filepath.Join(only, "originals")); err != nil || len(list) != 1 {
		t.Errorf("pictures of one year: %v %v", list, err)
	}
}

// TestOnePrintoutTwice: a record that two pictures show is one line and one entry,
// with both pictures and what was done about it.
func TestOnePrintoutTwice(t *testing.T) {
	ctx := context.Background()
	s, err := archive.Open(ctx, t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for i := range 2 {
		k, _, err := s.Keep(ctx, fmt.Sprintf("photo%d.jpg", i), fmt.Appendf(nil, "\xff\xd8\xff photo %d", i), "114")
		if err != nil {
			t.Fatal(err)
		}
		r := record.Record{Kind: record.TankTest, Fields: record.Fields{"tank": field("3", "3", true), "ended_at": field("2025-03-14T06:41", "", true),
			"result": field("pass", "PASSED", true)}}
		if err := s.SaveReadings(ctx, k.ID, []archive.Reading{{Page: 1, Slips: []archive.SlipReading{{Report: record.Report{Records: []record.Record{r}}}}}}); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Decide(ctx, archive.Decision{Record: "r2", Action: archive.FollowUp, Note: "probe changed"}); err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "out")
	n, err := Folder(ctx, s, dir, FolderOptions{})
	if err != nil || n != 1 {
		t.Fatalf("%d records, %v", n, err)
	}
	for name, want := range map[string][]string{
		"sites/site-114/2025/index.html":    {"../../../originals/c1.jpg", "../../../originals/c2.jpg", "Followed up: probe changed"},
		"sites/site-114/2025/records.jsonl": {`"one_with":["r2"]`, `"followed_up":"probe changed"`},
		"sites/site-114/2025/tank_test.csv": {",r2,probe changed\r\n"},
	} {
		raw, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
		if err != nil {
			t.Error(err)
		}
		for _, w := range want {
			if !strings.Contains(string(raw), w) {
				t.Errorf("%s does not say %q:\n%s", name, w, raw)
			}
		}
		if name != "sites/site-114/2025/index.html" && strings.Count(string(raw), "photo0.jpg")+strings.Count(string(raw), "photo1.jpg") != 1 {
			t.Errorf("%s: not one record:\n%s", name, raw)
		}
	}
	if n, err := CSV(ctx, s, filepath.Join(t.TempDir(), "csv"), archive.Filter{}); err != nil || n != 1 {
		t.Errorf("csv: %d records, %v", n, err)
	}
	if n, err := JSONL(ctx, s, filepath.Join(t.TempDir(), "jsonl"), false, archive.Filter{}); err != nil || n != 1 {
		t.Errorf("jsonl: %d records, %v", n, err)
	}
}

// TestNothingHalf: what goes wrong leaves nothing under the name.
func TestNothingHalf(t *testing.T) {
	s := store(t)
	parent := t.TempDir()
	to := filepath.Join(parent, "out")
	ctx, cancel := context.WithCancel(context.Background())
	cut := func(context.Context, string, int, record.Box, int) (image.Image, error) {
		cancel()
		return nil, ctx.Err()
	}
	if _, err := Folder(ctx, s, to, FolderOptions{Cut: cut}); !errors.Is(err, context.Canceled) {
		t.Errorf("interrupted: %v", err)
	}
	c, err := s.Capture(context.Background(), "c1")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(s.OriginalPath(c)); err != nil {
		t.Fatal(err)
	}
	ctx = context.Background()
	if _, err := Folder(ctx, s, to, FolderOptions{}); err == nil || !strings.Contains(err.Error(), "restore it from a backup") {
		t.Errorf("a lost original: %v", err)
	}
	if _, err := CSV(ctx, s, "/proc/out", archive.Filter{}); err == nil || !strings.Contains(err.Error(), "may write to") {
		t.Errorf("no right to write: %v", err)
	}
	if list, _ := os.ReadDir(parent); len(list) > 0 {
		t.Errorf("left behind: %v", list)
	}
	if err := os.MkdirAll(filepath.Join(to, "mine"), 0o755); err != nil {
		t.Fatal(err)
	}
	if _, err := CSV(ctx, s, to, archive.Filter{}); err == nil || !strings.Contains(err.Error(), "not empty") {
		t.Errorf("a folder with something in it: %v", err)
	}
}
