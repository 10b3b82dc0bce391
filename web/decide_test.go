package web

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"tankroll/archive"
	"tankroll/record"
)

// post sends a form.
func post(t testing.TB, h http.Handler, path string, v url.Values) *httptest.ResponseRecorder {
	t.Helper()
	r := httptest.NewRequest("POST", "http://localhost"+path, strings.NewReader(v.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

// slipPath is where the form of a capture's first slip is sent.
func slipPath(capture string) string { return "/captures/" + capture + "/pages/1/slips/0" }

// form is a filled form: for each field its key, what was shown and typed.
func form(action, by string, fields ...[3]string) url.Values {
	v := url.Values{"action": {action}, "by": {by}}
	for _, f := range fields {
		v.Set("was."+f[0], f[1])
		v.Set("v."+f[0], f[2])
	}
	return v
}

func TestConfirm(t *testing.T) {
	h, d := newTestSite(t)
	c := d.add(t, "march.png")
	r1 := d.recordID(t, c, "1")
	w := post(t, h, slipPath(c), form("confirm "+r1, "Ada", [3]string{r1 + ".leak_rate", "-0.08", "-0.03"}, [3]string{r1 + ".tank", "1", "1"}))
	if w.Code != 303 || w.Header().Get("Location") != "/captures/"+c+"?page=1&done=confirm#"+r1 {
		t.Fatalf("status %d to %q\n%s", w.Code, w.Header().Get("Location"), w.Body)
	}
	row, err := d.Record(t.Context(), r1)
	if err != nil || !row.Confirmed || !row.Sure() {
		t.Errorf("the record is not confirmed: %+v, %v", row, err)
	}
	f := row.Record.Fields["leak_rate"]
	if n, _ := f.Number(); n != -0.03 || f.Unit != "gal/h" || f.Text != "-0.08 GAL/H" || f.Origin != record.Entered {
		t.Errorf("the correction became %+v", f)
	}
	if other, err := d.Record(t.Context(), d.recordID(t, c, "2")); err != nil || other.Confirmed {
		t.Errorf("the other record of the slip: confirmed %v, %v", other.Confirmed, err)
	}
	wantAll(t, "the capture", mustGet(t, h, "/captures/"+c+"?page=1&done=confirm"), "Confirmed.", "confirmed by a person", `value="-0.03"`)
	wantAll(t, "the record", mustGet(t, h, "/records/"+r1), "Ada corrected leak rate to -0.03", "Ada confirmed the record", "Take the last decision back")

	w = post(t, h, "/records/"+r1, form("undo "+r1, "Ada"))
	if row, err = d.Record(t.Context(), r1); err != nil || w.Code != 303 || row.Confirmed {
		t.Errorf("taking back: status %d, confirmed %v, %v", w.Code, row.Confirmed, err)
	}
	wantAll(t, "the record", mustGet(t, h, "/records/"+r1), "took the last decision back", "(taken back)")
}

// TestConfirmSlip: one button confirms what still waits on a slip; a rejected
// record stays rejected.
func TestConfirmSlip(t *testing.T) {
	h, d := newTestSite(t)
	c := d.add(t, "march.png")
	r1, r2 := d.recordID(t, c, "1"), d.recordID(t, c, "2")
	wantAll(t, "the capture", mustGet(t, h, "/captures/"+c), "Confirm 2 records")
	post(t, h, slipPath(c), form("reject "+r2, "Ada"))
	if w := post(t, h, slipPath(c), form("confirm", "Ada")); w.Code != 303 || w.Header().Get("Location") != "/captures/"+c+"?page=1&done=confirm#slip1" {
		t.Fatalf("status %d to %q", w.Code, w.Header().Get("Location"))
	}
	one, err1 := d.Record(t.Context(), r1)
	two, err2 := d.Record(t.Context(), r2)
	if err1 != nil || err2 != nil || !one.Confirmed || two.Confirmed || !two.Rejected {
		t.Errorf("confirmed %v and %v, rejected %v (%v, %v)", one.Confirmed, two.Confirmed, two.Rejected, err1, err2)
	}
	post(t, h, slipPath(c), form("confirm", "Eve")) // nothing waits any more
	if past, err := d.History(t.Context(), r1); err != nil || len(past) != 1 {
		t.Errorf("%d decisions (%v), want one", len(past), err)
	}
	// A correction to what is confirmed is confirmed with it.
	post(t, h, slipPath(c), form("confirm", "Eve", [3]string{r1 + ".leak_rate", "-0.08", "-0.05"}))
	if past, err := d.History(t.Context(), r1); err != nil || len(past) != 3 {
		t.Errorf("%d decisions (%v), want three", len(past), err)
	}
}

// TestCorrectBadly: a wrong value is told of where it was typed, nothing that
// was typed is lost, and nothing is saved by half.
func TestCorrectBadly(t *testing.T) {
	h, d := newTestSite(t)
	c := d.add(t, "march.png")
	r1, r2 := d.recordID(t, c, "1"), d.recordID(t, c, "2")
	long := strings.Repeat("x", 300)
	for _, x := range []struct{ field, shown, typed, want string }{
		{"leak_rate", "-0.08", "minus a bit", "must be a number"},
		{"leak_rate", "-0.08", "0.1 bananas", "must be one of gal/h, L/h"},
		{"leak_rate", "-0.08", "1e999", "must be one of gal/h, L/h"},
		{"ended_at", "2025-03-14 03:10", "14/03/2025", "must be a date like 2025-03-14"},
		{"ended_at", "2025-03-14 03:10", "2025-02-30 01:00", "must be a date like"},
		{"result", "pass", "maybe", "must be one of pass"},
		{"tank", "1", "one and two", "an equipment number has"},
		{"product", "DIESEL", long, "at most 200 characters"},
		{"product", "SOMETHING", "DYED", "someone else changed it meanwhile to “DIESEL”"},
	} {
		for _, path := range []string{slipPath(c), "/records/" + r1} {
			v := form("confirm", "Ada", [3]string{r1 + "." + x.field, x.shown, x.typed}, [3]string{r1 + ".end_volume", "6412", "6,142"}, [3]string{"h.site", "RIVER ROAD FUEL", "RIVER RD"})
			v.Set("v."+r2+".leak_rate", "-0.37") // typed into another record of the slip
			v.Set("was."+r2+".leak_rate", "-0.31")
			v.Set("note", "torn here")
			w := post(t, h, path, v)
			if w.Code != 422 {
				t.Errorf("%s %q: status %d, want 422", x.field, x.typed, w.Code)
			}
			page := w.Body.String()
			wantAll(t, x.typed, page, "Nothing was saved yet", x.want, `value="6,142"`, `value="RIVER RD"`, `value="Ada"`, `value="torn here"`,
				`aria-invalid="true" aria-describedby="e-`+r1+`-`+x.field+`"`, `id="e-`+r1+`-`+x.field+`"`)
			if x.field != "result" && x.typed != long { // a choice has no place for another value
				wantAll(t, x.typed, page, `value="`+x.typed+`"`)
			}
			if path == slipPath(c) {
				wantAll(t, x.typed, page, `value="-0.37"`)
			}
		}
	}
	w := post(t, h, slipPath(c), form("correct", " ", [3]string{r1 + ".tank", "1", "7"}))
	wantAll(t, "without a name", w.Body.String(), "say who you are", `value="7"`)
	w = post(t, h, slipPath(c), form("correct", "Ada", [3]string{r1 + ".tank", "1", "1"}))
	wantAll(t, "without a change", w.Body.String(), "No field was changed")
	for _, id := range []string{r1, r2} {
		if past, err := d.History(t.Context(), id); err != nil || len(past) != 0 {
			t.Errorf("%d decisions were kept (%v), want none", len(past), err)
		}
	}
}

func TestCorrect(t *testing.T) {
	h, d := newTestSite(t)
	c := d.add(t, "march.png")
	r1, r2 := d.recordID(t, c, "1"), d.recordID(t, c, "2")
	v := form("correct", "Ada", [3]string{r1 + ".ended_at", "2025-03-14 03:10", "2025-03-15 03:10"}, [3]string{r1 + ".product", "DIESEL", ""},
		[3]string{r1 + ".start_volume", "", "24,300 L"}, [3]string{r1 + ".method", "", "static"}, [3]string{r1 + ".tank", "1", "01"},
		[3]string{"h.site_number", "114", "0115"}, [3]string{"r99.tank", "1", "9"}, [3]string{r1 + ".nonsense", "1", "9"})
	if w := post(t, h, slipPath(c), v); w.Code != 303 || w.Header().Get("Location") != "/captures/"+c+"?page=1&done=correct#slip1" {
		t.Fatalf("status %d to %q\n%s", w.Code, w.Header().Get("Location"), w.Body)
	}
	row, err := d.Record(t.Context(), r1)
	if err != nil {
		t.Fatal(err)
	}
	fs := row.Record.Fields
	if _, there := fs["product"]; there || fs["ended_at"].String() != "2025-03-15T03:10" || fs["start_volume"].Value != 24300.0 ||
		fs["start_volume"].Unit != "L" || fs["method"].String() != "static" || row.Site != "115" || row.Confirmed {
		t.Errorf("the record became %+v", row)
	}
	if other, err := d.Record(t.Context(), r2); err != nil || other.Site != "115" {
		t.Errorf("the other record of the slip has site %q (%v), want 115", other.Site, err)
	}
	page := mustGet(t, h, "/records/"+r1)
	wantAll(t, "the record", page, "said that the paper does not show product", "corrected start volume to 24,300 L", "corrected site number to 0115")
	wantNone(t, "the record", page, "corrected tank to") // 01 is 1
	// On a record's own page the header is that record's alone.
	if w := post(t, h, "/records/"+r1, form("correct", "Ada", [3]string{"h.site_number", "115", "116"})); w.Code != 303 {
		t.Fatalf("status %d\n%s", w.Code, w.Body)
	}
	if other, err := d.Record(t.Context(), r2); err != nil || other.Site != "115" {
		t.Errorf("the other record of the slip has site %q (%v), want 115 still", other.Site, err)
	}
}

func TestReject(t *testing.T) {
	h, d := newTestSite(t)
	c := d.add(t, "march.png")
	r2 := d.recordID(t, c, "2")
	v := form("reject "+r2, "Ada")
	v.Set("note", "a training slip")
	if w := post(t, h, slipPath(c), v); w.Code != 303 {
		t.Fatalf("status %d", w.Code)
	}
	wantAll(t, "the capture", mustGet(t, h, "/captures/"+c+"?done=reject"), "rejected: does not count", "the picture and the reading are kept")
	wantAll(t, "the record", mustGet(t, h, "/records/"+r2), "Ada rejected the record", "a training slip")
	wantNone(t, "coverage", mustGet(t, h, "/coverage"), "Failed test")
}

func TestDecideBadly(t *testing.T) {
	h, d := newTestSite(t)
	c := d.add(t, "march.png")
	r1 := d.recordID(t, c, "1")
	for name, x := range map[string]struct {
		path string
		v    url.Values
		want int
	}{
		"no action":        {"/records/" + r1, url.Values{"by": {"Ada"}}, 400},
		"unknown action":   {"/records/" + r1, form("drop table", "Ada"), 400},
		"all rejected":     {slipPath(c), form("reject", "Ada"), 400},
		"another's record": {"/records/" + r1, form("confirm r2", "Ada"), 400},
		"no such record":   {"/records/r99", form("confirm", "Ada"), 404},
		"bad id":           {"/records/x", form("confirm", "Ada"), 404},
		"no such slip":     {"/captures/" + c + "/pages/1/slips/7", form("confirm", "Ada"), 404},
		"bad slip":         {"/captures/" + c + "/pages/1/slips/x", form("confirm", "Ada"), 404},
		"no such page":     {"/captures/" + c + "/pages/7/slips/0", form("confirm", "Ada"), 404},
		"no such capture":  {"/captures/c9/pages/1/slips/0", form("confirm", "Ada"), 404},
		"nothing to undo":  {"/records/" + r1, form("undo "+r1, "Ada"), 422},
		"too large":        {"/records/" + r1, form("confirm", "Ada", [3]string{r1 + ".product", "", strings.Repeat("x", maxForm)}), 413},
	} {
		if w := post(t, h, x.path, x.v); w.Code != x.want {
			t.Errorf("%s: status %d, want %d", name, w.Code, x.want)
		}
	}
	if past, err := d.History(t.Context(), r1); err != nil || len(past) != 0 {
		t.Errorf("%d decisions were kept (%v), want none", len(past), err)
	}
}

// TestByHand: a record typed in from paper has no picture and never looks read.
func TestByHand(t *testing.T) {
	h, d := newTestSite(t)
	row, err := d.Enter(t.Context(), archive.Entry{Site: "114", Kind: record.TankTest, By: "Ada",
		Fields: map[string]any{"tank": "2", "grade": "diesel", "result": "pass", "ended_at": "2025-01-05T02:00"}})
	if err != nil {
		t.Fatal(err)
	}
	wantAll(t, "the record", mustGet(t, h, "/records/"+row.ID), "typed in by hand", "This record has no picture", "entered by a person", "typed the record in by hand")
	wantNone(t, "the record", mustGet(t, h, "/records/"+row.ID), ">printed<")
	wantAll(t, "the answer", mustGet(t, h, "/ask?q=diesel"), "typed in by hand")
	if w := get(t, h, "/records/"+row.ID+"/picture.jpg"); w.Code != 404 {
		t.Errorf("its picture: status %d, want 404", w.Code)
	}
	if w := post(t, h, "/records/"+row.ID, form("correct", "Ada", [3]string{row.ID + ".tank", "2", "3"})); w.Code != 303 {
		t.Errorf("correcting it: status %d", w.Code)
	}
}
