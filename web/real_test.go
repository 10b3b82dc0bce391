package web

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"tankroll/archive"
	"tankroll/fixtures"
	"tankroll/internal/intake"
	"tankroll/internal/memdisk"
	"tankroll/ocr"
	"tankroll/record"
)

// TestMain: recognition runs in a child of the test program itself.
func TestMain(m *testing.M) {
	ocr.RunWorkerIfAsked()
	memdisk.Use()
	os.Exit(m.Run())
}

// realDesk is a desk with its reader, archive and index, in an empty folder.
func realDesk(t *testing.T) *intake.Desk {
	t.Helper()
	d, err := intake.Open(t.Context(), t.TempDir(), intake.Options{})
	if errors.Is(err, ocr.ErrNoRecognizer) {
		t.Skip(err)
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { d.Close() })
	return d
}

// fixture is a kept picture of a kind of record, on its own on its slip, taken
// as a level says.
func fixture(t *testing.T, level string, kind record.Kind) fixtures.Case {
	t.Helper()
	for _, c := range fixtures.Set() {
		if c.Level == level && len(c.Slips) == 1 && len(c.Slips[0].Records) == 1 && c.Slips[0].Records[0].Kind == kind {
			return c
		}
	}
	t.Fatalf("no %s of a %s among the kept pictures", level, kind)
	return fixtures.Case{}
}

// TestBrowserReal goes the clerk's way with nothing made up: a kept picture is
// sent through the page, read, corrected where the reader was not sure,
// confirmed, asked for and found in the coverage.
func TestBrowserReal(t *testing.T) {
	ctx := browser(t)
	d := realDesk(t)
	base := serve(t, New(Stand(d), Options{}), "127.0.0.1:0")
	c := fixture(t, "scan", record.TankTest)
	truth := c.Slips[0].Records[0]
	file := filepath.Join(t.TempDir(), c.Name+"."+c.Ext)
	if err := os.WriteFile(file, c.Raw, 0o600); err != nil {
		t.Fatal(err)
	}
	steps(t, ctx, chromedp.Navigate(base+"/"), chromedp.SetUploadFiles("#photo", []string{file}), chromedp.Click("#go"), chromedp.WaitVisible("form.slipform"))
	rows, err := d.Store().Rows(t.Context(), archive.Filter{Kind: record.TankTest})
	if err != nil || len(rows) != 1 {
		t.Fatalf("%d tank tests were read (%v), want 1:\n%s", len(rows), err, bodyText(t, ctx))
	}
	id := rows[0].ID

	// The clerk types what the paper says into every field that differs.
	for _, name := range truth.FieldNames() {
		spec, _ := record.Spec(truth.Kind, name)
		want := inputValue(spec, truth.Fields[name])
		field := "#i-" + id + "-" + name
		opened, err := chromedp.Run(ctx, chromedp.Evaluate[bool](`(() => { const i = document.querySelector("`+field+`"); for (let p = i; p; p = p.parentElement) if (p.tagName === "DETAILS") p.open = true; return true })()`))
		if err != nil || !opened {
			t.Fatalf("%s has no place in the form (%v)", name, err)
		}
		if got, err := chromedp.Run(ctx, chromedp.Value(field)); err != nil || got != want {
			t.Logf("%s was read as %q, is %q (%v)", name, got, want, err)
			steps(t, ctx, chromedp.SetValue(field, want))
		}
	}
	steps(t, ctx, chromedp.SetValue("#by-"+id, "Ada Clerk"), chromedp.Click("button.main[value=confirm]"), chromedp.WaitVisible("#"+id+" .good"))
	row, err := d.Store().Record(t.Context(), id)
	if err != nil || !row.Confirmed {
		t.Fatalf("the record is not confirmed: %+v, %v", row, err)
	}
	for _, name := range truth.FieldNames() {
		if got, want := row.Record.Fields[name].Value, truth.Fields[name].Value; got != want {
			t.Errorf("%s is %v after confirming, want %v", name, got, want)
		}
	}

	question := "last " + truth.Text("result") + "ing tank test tank " + truth.Text("tank")
	steps(t, ctx, chromedp.Navigate(base+"/"), chromedp.SendKeys("#q", question+"\r"), chromedp.WaitVisible(".answer"))
	text := bodyText(t, ctx)
	if !strings.Contains(text, "confirmed by a person") || !strings.Contains(text, "tank "+truth.Text("tank")) {
		t.Errorf("%q is answered by:\n%s", question, text)
	}
	at := row.At[:len("2006-01-02")]
	steps(t, ctx, chromedp.Navigate(base+"/coverage?from="+at[:4]+"-01-01&to="+at), chromedp.WaitVisible(".req .strip"))
	if html, err := chromedp.Run(ctx, chromedp.InnerHTML("main")); err != nil || !strings.Contains(html, "/records/"+id) {
		t.Errorf("the coverage does not rest on the record (%v):\n%s", err, html)
	}
	if *shots != "" {
		lookAt(t, ctx, base, "real", map[string]string{"capture": "/captures/" + rows[0].Capture, "answer": "/ask?q=" + strings.ReplaceAll(question, " ", "+"),
			"coverage": "/coverage?from=" + at[:4] + "-01-01&to=" + at})
	}
}
