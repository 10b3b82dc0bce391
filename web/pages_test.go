package web

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"tankroll/comply"
	"tankroll/internal/intake"
)

// TestPages gives for each address what its page must show.
func TestPages(t *testing.T) {
	h, d := newTestSite(t)
	c := d.add(t, "march roll.png")
	r1, r2 := d.recordID(t, c, "1"), d.recordID(t, c, "2")
	for path, want := range map[string][]string{
		"/":                      {"Photograph a printout", `accept="image/*"`, `capture="environment"`, "Sent last", "Tank leak test", "1 doubtful", "2 records", "Ask for a record"},
		"/captures":              {"Printouts", "/captures/" + c, "Site 114, RIVER ROAD FUEL"},
		"/sent?c=" + c:           {"1 picture kept and read", "/captures/" + c},
		"/captures/" + c:         {"Tank leak test, tank 1", "Tank leak test, tank 2", "the 8 could be a 3", "Doubtful.", "6A12 GAL", "one character put right", "/records/" + r1 + "/fields/leak_rate.jpg", "change the roll soon", "The original picture", "Confirm", "Reject", "280.50", "Confirm 2 records", "/captures/" + c + "/pages/1/slips/0/picture.jpg"},
		"/records/" + r1:         {"Record " + r1, "Nobody has decided", "/captures/" + c + "?page=1", "2025-03-14 03:10", "Site 114"},
		"/records/" + r2:         {"A failed test cannot wait", "within 24 hours", "280.52", "licensed people"},
		"/ask":                   {"Ask for a record"},
		"/ask?q=diesel":          {"Understood as:", "latest passing 0.2 gal/h tank test, product diesel", "Not understood: <i>please</i>", "<a href=\"/records/r1\">r1</a> is in doubt about its leak rate.", `It can also mean <a href="/ask?q=latest`, ">the newest of each tank</a>: 1 record, first <a href=\"/records/r1\">", "The first without doubt", "Doubtful records that may be it", "Tank leak test, tank 1", "doubtful: look at the paper", "/records/" + r1 + "/picture.jpg"},
		"/ask?q=river+road":      {"the printed words were searched", "Printed words that match", "RIVER ROAD FUEL", `class="cut cutline"`, "/slips/0/picture.jpg"},
		"/ask?q=zebra":           {"stand on no slip"},
		"/coverage":              {"Gap", "Cannot tell", "Covered", "40 CFR 280.41(a)(1)", "Next due <b>2025-04-13</b>", "103 days; it was due by <span class=\"t\">2024-12-31", "Cannot tell between <span class=\"t\">2024-03-21</span>", "The date of &lt;b&gt;<a href=\"/records/r2\">r2</a>&lt;/b&gt;, the only test, is doubtful.", "Failed tests of this period", "Failed test <span class=\"t\">2025-03-14", "280.50", "280.52", "<svg class=\"strip\"", "does not judge a site"},
		"/coverage?site=nowhere": {"No tests are known"},
	} {
		page := mustGet(t, h, path)
		wantAll(t, path, page, want...)
		wantNone(t, path, strings.ToLower(page), "compliant", "zgotmplz", "[{", "map[")
	}
}

// TestNoAnswer: a question that was understood and has no answer is told why.
func TestNoAnswer(t *testing.T) {
	h, _ := newTestSite(t)
	wantAll(t, "the answer", mustGet(t, h, "/ask?q=last+diesel+test"), "No record answers this.", "The archive holds no tank tests at all.", "stand on no slip")
}

// TestLinks follows every link, picture and script of every page.
func TestLinks(t *testing.T) {
	h, d := newTestSite(t)
	d.add(t, "march.png")
	d.add(t, "blank.png")
	link := regexp.MustCompile(`(?:href|src)="([^"]+)"`)
	seen := map[string]bool{}
	todo := []string{"/", "/captures", "/ask?q=diesel", "/ask?q=river", "/coverage", "/captures/c1?sent=new&done=confirm"}
	pictures := 0
	for len(todo) > 0 {
		path := todo[0]
		todo = todo[1:]
		if seen[path] {
			continue
		}
		seen[path] = true
		w := get(t, h, path)
		if w.Code != http.StatusOK {
			t.Errorf("GET %s: status %d", path, w.Code)
			continue
		}
		if strings.HasPrefix(w.Header().Get("Content-Type"), "image/jpeg") {
			pictures++
		}
		if !strings.HasPrefix(w.Header().Get("Content-Type"), "text/html") {
			continue
		}
		for _, m := range link.FindAllStringSubmatch(w.Body.String(), -1) {
			to, _, _ := strings.Cut(strings.ReplaceAll(m[1], "&amp;", "&"), "#")
			if to == "" {
				continue
			}
			if !strings.HasPrefix(to, "/") {
				t.Errorf("%s links outside: %s", path, to)
				continue
			}
			todo = append(todo, to)
		}
	}
	if pictures < 6 {
		t.Errorf("only %d cuts were linked from %d pages", pictures, len(seen))
	}
}

// TestAnchors: what a frame on the picture points to is on the page.
func TestAnchors(t *testing.T) {
	h, d := newTestSite(t)
	page := mustGet(t, h, "/captures/"+d.add(t, "march.png"))
	n := 0
	for _, m := range regexp.MustCompile(`href="#([^"]+)"`).FindAllStringSubmatch(page, -1) {
		n++
		if !strings.Contains(page, `id="`+m[1]+`"`) {
			t.Errorf("no place %q on the page", m[1])
		}
	}
	if n < 15 {
		t.Errorf("%d places are linked, want one a field", n)
	}
	for _, m := range regexp.MustCompile(`data-frame="([^"]+)"`).FindAllStringSubmatch(page, -1) {
		if strings.Contains(m[1], "leak_rate") && !strings.Contains(page, `id="`+m[1]+`"`) {
			t.Errorf("no frame %q on the picture", m[1])
		}
	}
	for _, m := range regexp.MustCompile(`for="([^"]+)"`).FindAllStringSubmatch(page, -1) {
		if !strings.Contains(page, `id="`+m[1]+`"`) {
			t.Errorf("label for %q has no input", m[1])
		}
	}
}

func TestWarnings(t *testing.T) {
	h, d := newTestSite(t)
	for name, want := range map[string]string{
		"blurred.png":    "the picture is blurred",
		"cutoff.png":     "run off the picture",
		"blank.png":      "no printout was found",
		"unreadable.png": "the page took too long to read",
		"end roll.png":   "change the roll soon",
	} {
		page := mustGet(t, h, "/captures/"+d.add(t, name)+"?sent=new")
		wantAll(t, name, page, want)
		if name != "end roll.png" {
			wantAll(t, name, page, "before the paper is thrown away", "Take another picture")
		}
	}
}

// TestMisread: whatever stands on the paper is text, never part of the page.
func TestMisread(t *testing.T) {
	h, d := newTestSite(t)
	c := d.add(t, "hostile<script>alert(4)</script>.png")
	r := d.recordID(t, c, "1")
	for _, path := range []string{"/", "/captures", "/captures/" + c, "/records/" + r, "/ask?q=diesel", "/coverage",
		"/ask?q=" + url.QueryEscape("<script>alert(5)</script>"), "/coverage?from=" + url.QueryEscape(`"><script>alert(6)</script>`)} {
		w := get(t, h, path)
		wantNone(t, path, w.Body.String(), "<script>alert", "<img src=x")
		if !strings.Contains(w.Header().Get("Content-Security-Policy"), "script-src 'self'") {
			t.Errorf("%s has no content security policy", path)
		}
	}
}

func TestNotThere(t *testing.T) {
	h, d := newTestSite(t)
	c := d.add(t, "march.png")
	for path, status := range map[string]int{
		"/nothing":                                          404,
		"/captures/c99":                                     404,
		"/captures/x":                                       404,
		"/captures/..%2f..%2fetc":                           404,
		"/captures/c1%20OR%201":                             404,
		"/captures/" + c + "?page=7":                        404,
		"/captures/" + c + "?page=x":                        404,
		"/captures/" + c + "/pages/0/picture.jpg":           404,
		"/captures/" + c + "/pages/1/slips/9/picture.jpg":   404,
		"/captures/" + c + "/pages/1/slips/0/lines/999.jpg": 404,
		"/captures/" + c + "/pages/1/slips/0/lines/-1.jpg":  404,
		"/records/r99":                                      404,
		"/records/c1":                                       404,
		"/records/r1/fields/nothing.jpg":                    404,
		"/records/r1/fields/leak_rate":                      404,
		"/captures?page=0":                                  404,
		"/captures?page=999":                                404,
		"/sent?c=c99":                                       404,
		"/coverage?from=2025-13-01&to=2025-01-01":           422,
		"/coverage?from=2025-03-01&to=2025-01-01":           422,
		"/coverage?from=1900-01-01&to=2025-01-01":           422,
		"/static/../web.go":                                 307,
		"/static/none.css":                                  404,
	} {
		w := get(t, h, path)
		if w.Code != status {
			t.Errorf("GET %s: status %d, want %d", path, w.Code, status)
		}
		if status == 404 && !strings.Contains(w.Body.String(), "Code 404") {
			t.Errorf("GET %s: no page says so", path)
		}
	}
}

// TestStrip: a gap is drawn from the day after the test was due, and nothing is
// drawn outside of the period.
func TestStrip(t *testing.T) {
	from, to := time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(2025, 12, 31, 0, 0, 0, 0, time.UTC)
	q := comply.Requirement{
		Evidence: []comply.Evidence{{At: "2024-12-31T23:00"}, {At: "2025-01-01T02:00"}, {At: "2025-12-31"}, {At: "no date"}},
		Gaps: []comply.Gap{{From: day(2025, 1, 1), To: day(2025, 3, 2), Due: day(2025, 1, 31)}, {From: day(2024, 6, 1), To: day(2024, 7, 1)},
			{From: day(2025, 12, 1), To: day(2026, 5, 1)}},
	}
	st := newStrip(from, to, q, time.Date(2025, 1, 2, 15, 0, 0, 0, time.UTC))
	if st.Width != 3650 || len(st.Months) != 11 || st.Months[0] != 310 || st.Today != 10 {
		t.Errorf("width %d, months %v, today %d", st.Width, st.Months, st.Today)
	}
	if want := []int{5, 3645}; !slices.Equal(st.Marks, want) {
		t.Errorf("marks %v, want %v", st.Marks, want)
	}
	if want := []span{{310, 300}, {3340, 310}}; !slices.Equal(st.Gaps, want) { // 1 Feb to 2 Mar; 1 to 31 Dec
		t.Errorf("gaps %v, want %v", st.Gaps, want)
	}
}

// TestFindPage: words are framed on the picture of their line, and a search that
// cannot be made says what to change.
func TestFindPage(t *testing.T) {
	h, d := newTestSite(t)
	d.add(t, "march.png")
	page := get(t, h, "/find?q=diesel&sort=printed").Body.String()
	for _, want := range []string{`class="hitmark"`, `<image href="/captures/c1/pages/1/slips/0/picture.jpg"`, "by date printed", `href="/captures/c1?page=1"`} {
		if !strings.Contains(page, want) {
			t.Errorf("no %s in\n%s", want, page)
		}
	}
	if page := get(t, h, "/find?q=kind:nothing").Body.String(); !strings.Contains(page, "This cannot be searched for") || !strings.Contains(page, "give one of") {
		t.Errorf("a wrong filter:\n%s", page)
	}
}

func TestJSON(t *testing.T) {
	h, d := newTestSite(t)
	d.add(t, "march.png")
	var found intake.FindDoc
	r := get(t, h, "/find.json?q=diesel")
	if err := json.Unmarshal(r.Body.Bytes(), &found); err != nil || found.Total != 1 || len(found.Hits) != 1 || len(found.Hits[0].Lines[0].Words) == 0 {
		t.Errorf("%v: %s", err, r.Body)
	}
	var asked intake.AskDoc
	r = get(t, h, "/ask.json?q=last+diesel+test")
	if err := json.Unmarshal(r.Body.Bytes(), &asked); err != nil || asked.Question != "last diesel test" || asked.Total != len(asked.Answers) || asked.Total == 0 {
		t.Errorf("%v: %s", err, r.Body)
	}
	for _, path := range []string{"/ask.json", "/find.json?q=kind:x"} {
		w := httptest.NewRecorder()
		h.ServeHTTP(w, httptest.NewRequest("GET", "http://localhost"+path, nil))
		if w.Code != 400 {
			t.Errorf("%s: status %d", path, w.Code)
		}
	}
}
