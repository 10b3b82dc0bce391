package web

import (
	"testing"

	"tankroll/archive"
)

// TestTwins: what may be one record is shown on its page with how it differs, and
// one button says which it is; the page then tells the whole story.
func TestTwins(t *testing.T) {
	h, d := newTestSite(t)
	c := d.add(t, "march.png")
	again := d.add(t, "again.png")
	blurred := learnt("again.png")
	for i := range blurred.Slips[0].Report.Records {
		fields := blurred.Slips[0].Report.Records[i].Fields
		f := fields["ended_at"]
		f.Value, f.Sure = f.String()[:14]+"40", false
		fields["ended_at"] = f
	}
	blurred.OCRVersion = 7
	if err := d.SaveReadings(t.Context(), again, []archive.Reading{blurred}); err != nil {
		t.Fatal(err)
	}
	one, two := d.recordID(t, c, "1"), d.recordID(t, again, "1")
	page := mustGet(t, h, "/records/"+one)
	wantAll(t, "what may be one", page, "Is it the same as another?", `href="/records/`+two+`"`, "again.png",
		"They differ: ended 2025-03-14\u00a003:10 here, 2025-03-14\u00a003:40 (doubtful) there.", `value="same `+two+`"`, `value="differ `+two+`"`, "was kept as "+c)
	wantAll(t, "seen from the other", mustGet(t, h, "/records/"+two), "2025-03-14\u00a003:40 (doubtful) here, 2025-03-14\u00a003:10 there.",
		again+" was read by reader 7", "ended 2025-03-14\u00a003:10 → 2025-03-14\u00a003:40 (doubtful)")

	path := "/records/" + one + "/twin"
	for _, bad := range []struct {
		action, by string
		status     int
	}{{"same " + two, "", 422}, {"same " + one, "Ada", 422}, {"same r999", "Ada", 404}, {"join " + two, "Ada", 400}, {"same", "Ada", 404}} {
		if w := post(t, h, path, form(bad.action, bad.by)); w.Code != bad.status {
			t.Errorf("%+v: status %d", bad, w.Code)
		}
	}
	if row, err := d.Record(t.Context(), one); err != nil || len(row.With) > 0 {
		t.Fatalf("one with %v, %v", row.With, err)
	}
	w := post(t, h, path, form("same "+two, "Ada"))
	if w.Code != 303 || w.Header().Get("Location") != "/records/"+one+"?done=same" {
		t.Fatalf("status %d to %q\n%s", w.Code, w.Header().Get("Location"), w.Body)
	}
	page = mustGet(t, h, "/records/"+one+"?done=same")
	wantAll(t, "one", page, "They are one record now", "On more than one picture", "No, they are two", "Ada said that it is one with "+two,
		"Why each field shows what it shows", "pictures of this printout disagree")
	if w := post(t, h, path, form("differ "+two, "Ben")); w.Code != 303 {
		t.Errorf("taking it back: status %d", w.Code)
	}
	page = mustGet(t, h, "/records/"+one)
	wantAll(t, "two", page, "Ben said that it is another than "+two)
	wantNone(t, "two", page, "Is it the same", "On more than one picture")
}
