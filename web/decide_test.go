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

func decideForm(t testing.TB, h http.Handler, id string, v url.Values) *httptest.ResponseRecorder {
	t.Helper()
	r := httptest.NewRequest("POST", "http://localhost/records/"+id, strings.NewReader(v.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

// form is a filled form: pairs of field, shown and typed.
func form(action, by string, fields ...[3]string) url.Values {
	v := url.Values{"action": {action}, "by": {by}, "back": {"capture"}}
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
	w := decideForm(t, h, r1, form("confirm", "Ada", [3]string{"leak_rate", "-0.08", "-0.03"}, [3]string{"tank", "1", "1"}))
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
	wantAll(t, "the capture", mustGet(t, h, "/captures/"+c+"?page=1&done=confirm"), "Confirmed.", "confirmed by a person", `value="-0.03"`)
	wantAll(t, "the record", mustGet(t, h, "/records/"+r1), "Ada corrected leak rate to -0.03", "Ada confirmed the record", "Take the last decision back")

	w = decideForm(t, h, r1, form("undo", "Ada"))
	if row, err = d.Record(t.Context(), r1); err != nil || w.Code != 303 || row.Confirmed {
		t.Errorf("taking back: status %d, confirmed %v, %v", w.Code, row.Confirmed, err)
	}
	wantAll(t, "the record", mustGet(t, h, "/records/"+r1), "took the last decision back", "(taken back)")
}

// TestCorrectBadly: a wrong value is told of where it was typed, nothing that
// was typed is lost, and nothing is saved by half.
func TestCorrectBadly(t *testing.T) {
	h, d := newTestSite(t)
	c := d.add(t, "march.png")
	r1 := d.recordID(t, c, "1")
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
		w := decideForm(t, h, r1, form("confirm", "Ada", [3]string{x.field, x.shown, x.typed}, [3]string{"end_volume", "6412", "6,142"}))
		if w.Code != 422 {
			t.Errorf("%s %q: status %d, want 422", x.field, x.typed, w.Code)
		}
		page := w.Body.String()
		wantAll(t, x.typed, page, "Nothing was saved yet", x.want, `value="6,142"`, `value="Ada"`, `aria-invalid="true" aria-describedby="e-`+r1+`-`+x.field+`"`, `id="e-`+r1+`-`+x.field+`"`)
		if x.field != "result" && x.typed != long { // a choice has no place for another value
			wantAll(t, x.typed, page, `value="`+x.typed+`"`)
		}
	}
	w := decideForm(t, h, r1, form("correct", " ", [3]string{"tank", "1", "7"}))
	wantAll(t, "without a name", w.Body.String(), "say who you are", `value="7"`)
	w = decideForm(t, h, r1, form("correct", "Ada", [3]string{"tank", "1", "1"}))
	wantAll(t, "without a change", w.Body.String(), "No field was changed")
	if past, err := d.History(t.Context(), r1); err != nil || len(past) != 0 {
		t.Errorf("%d decisions were kept (%v), want none", len(past), err)
	}
}

func TestCorrect(t *testing.T) {
	h, d := newTestSite(t)
	c := d.add(t, "march.png")
	r1, r2 := d.recordID(t, c, "1"), d.recordID(t, c, "2")
	v := form("correct", "Ada", [3]string{"ended_at", "2025-03-14 03:10", "2025-03-15 03:10"}, [3]string{"product", "DIESEL", ""},
		[3]string{"start_volume", "", "24,300 L"}, [3]string{"method", "", "static"}, [3]string{"tank", "1", "01"}, [3]string{"site_number", "114", "0115"})
	v.Set("all", "yes")
	v.Set("back", "record")
	if w := decideForm(t, h, r1, v); w.Code != 303 || w.Header().Get("Location") != "/records/"+r1+"?done=correct" {
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
}

func TestReject(t *testing.T) {
	h, d := newTestSite(t)
	c := d.add(t, "march.png")
	r2 := d.recordID(t, c, "2")
	v := form("reject", "Ada")
	v.Set("note", "a training slip")
	if w := decideForm(t, h, r2, v); w.Code != 303 {
		t.Fatalf("status %d", w.Code)
	}
	wantAll(t, "the capture", mustGet(t, h, "/captures/"+c+"?done=reject"), "rejected: does not count", "the picture and the reading are kept")
	wantAll(t, "the record", mustGet(t, h, "/records/"+r2), "Ada rejected the record", "a training slip")
	wantNone(t, "coverage", mustGet(t, h, "/coverage"), "Failed test")
}

func TestDecideBadly(t *testing.T) {
	h, d := newTestSite(t)
	r1 := d.recordID(t, d.add(t, "march.png"), "1")
	for name, c := range map[string]struct {
		id   string
		v    url.Values
		want int
	}{
		"no action":       {r1, url.Values{"by": {"Ada"}}, 400},
		"unknown action":  {r1, form("drop table", "Ada"), 400},
		"no such record":  {"r99", form("confirm", "Ada"), 404},
		"bad id":          {"x", form("confirm", "Ada"), 404},
		"nothing to undo": {r1, form("undo", "Ada"), 422},
		"too large":       {r1, form("confirm", "Ada", [3]string{"product", "", strings.Repeat("x", maxForm)}), 413},
	} {
		if w := decideForm(t, h, c.id, c.v); w.Code != c.want {
			t.Errorf("%s: status %d, want %d", name, w.Code, c.want)
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
	wantAll(t, "the answer", mustGet(t, h, "/ask?q=diesel"), "typed in by hand")
	if w := get(t, h, "/records/"+row.ID+"/picture.jpg"); w.Code != 404 {
		t.Errorf("its picture: status %d, want 404", w.Code)
	}
}
