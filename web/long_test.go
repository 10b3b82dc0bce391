package web

import (
	"bytes"
	"image"
	"image/jpeg"
	"regexp"
	"strings"
	"testing"

	"tankroll/archive"
	"tankroll/record"
)

// joinedDesk has one slip in two pictures, c1 and c2: the first tank stands on
// c1, the second on both, its result below all other print of c2.
func joinedDesk(t *testing.T) (*testDesk, func(path string) string) {
	t.Helper()
	h, d := newTestSite(t)
	upper, lower := d.add(t, "upper.png"), d.add(t, "lower.png")
	a, b := learnt("upper.png"), learnt("lower.png")
	refs := []record.Ref{{File: "upper.png", Page: 1, Capture: upper}, {File: "lower.png", Page: 1, Capture: lower}}
	whole := &archive.Whole{Slip: a.Slips[0].Slip, Report: record.Report{Header: a.Slips[0].Report.Header, Records: []record.Record{firstTank(), secondTank()}}}
	for _, r := range refs {
		whole.Slip.Parts = append(whole.Slip.Parts, record.Part{Ref: r, Corners: whole.Slip.Corners, Turn: whole.Slip.Turn})
	}
	second := whole.Report.Records[1].Fields
	result := second["result"]
	result.Box, result.Sure = at(len(printout), 0, 8), false
	result.Box.Part = 1
	second["result"] = result
	a.Slips[0].Whole, b.Slips[0].Into = whole, &refs[0]
	err := d.SaveTogether(t.Context(), archive.Pages{Capture: upper, Readings: []archive.Reading{a}}, archive.Pages{Capture: lower, Readings: []archive.Reading{b}})
	if err != nil {
		t.Fatal(err)
	}
	return d, func(path string) string { return mustGet(t, h, path) }
}

// TestJoinedSlip: the form of a slip in two pictures stands where the slip
// begins, with both pictures; the other picture leads there; and what stands on
// the second picture is cut from it.
func TestJoinedSlip(t *testing.T) {
	d, get := joinedDesk(t)
	first := get("/captures/c1")
	wantAll(t, "the first picture", first, "Tank leak test, tank 1", "Tank leak test, tank 2", "Confirm 2 records", "read as one",
		"/captures/c1/pages/1/slips/0/picture.jpg", "/captures/c2/pages/1/slips/0/picture.jpg", `<a href="/captures/c2?page=1">c2, lower.png</a>`)
	second := get("/captures/c2")
	wantAll(t, "the second picture", second, "begins on another", `<a href="/captures/c1?page=1">c1, upper.png</a>`, "/captures/c2/pages/1/slips/0/picture.jpg")
	wantNone(t, "the second picture", second, "Tank leak test", "Confirm")
	wantAll(t, "the list", get("/sent?c=c1&c=c2"), "goes with c1, read as one slip")

	id := d.recordID(t, "c1", "2")
	page := get("/records/" + id)
	wantAll(t, "the record", page, "/records/"+id+"/picture.jpg\"", "/records/"+id+"/picture.jpg?part=1\"")
	r, err := d.Record(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	box := r.Record.Fields["result"].Box
	got := get("/records/" + id + "/fields/result.jpg")
	for capture, want := range map[string]bool{"c1": false, "c2": true} {
		img, err := d.Picture(t.Context(), capture, 1)
		if err != nil {
			t.Fatal(err)
		}
		if same := got == cutOf(t, img, fieldArea(box, r.Turn), r.Turn); same != want {
			t.Errorf("the result is cut from %s: %v, want %v", capture, same, want)
		}
	}
	for _, page := range []string{first, second, page} {
		for _, m := range regexp.MustCompile(`(?:href|src)="(/(?:captures|records)[^"#]*)"`).FindAllStringSubmatch(page, -1) {
			get(strings.ReplaceAll(m[1], "&amp;", "&"))
		}
	}
	// The frame of the result is drawn on the second picture alone.
	if n := strings.Count(first, `id="b-`+id+`-result"`); n != 1 {
		t.Errorf("the result is framed %d times", n)
	}
}

func cutOf(t *testing.T, img image.Image, box record.Box, turn int) string {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, upright(img, box, turn, widest), &jpeg.Options{Quality: cutQuality}); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// TestMayGoOn: two pictures that may show one slip say how to take them again.
func TestMayGoOn(t *testing.T) {
	h, d := newTestSite(t)
	c := d.add(t, "upper.png")
	a := learnt("upper.png")
	a.Slips[0].MayGoOn = []record.Ref{{File: "<b>lower.png", Page: 1, Capture: "c2"}}
	if err := d.SaveReadings(t.Context(), c, []archive.Reading{a}); err != nil {
		t.Fatal(err)
	}
	wantAll(t, "the capture", mustGet(t, h, "/captures/"+c), "It may be one slip with &lt;b&gt;lower.png (c2)", "send them together")
}
