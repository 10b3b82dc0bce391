package web

import (
	"context"
	"flag"
	"fmt"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

var shots = flag.String("shots", "", "folder for pictures of every page at two widths, to be looked at")

// chromium is where Debian puts it; TANKROLL_CHROMIUM names another.
func chromium(t *testing.T) string {
	path := os.Getenv("TANKROLL_CHROMIUM")
	if path == "" {
		path = "/usr/bin/chromium"
	}
	if _, err := os.Stat(path); err != nil {
		t.Skipf("no browser at %s: install Debian's chromium, or name another in TANKROLL_CHROMIUM", path)
	}
	return path
}

// browser starts a browser with a window of a phone's size.
func browser(t *testing.T) context.Context {
	t.Helper()
	if testing.Short() {
		t.Skip("starts a browser")
	}
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(chromium(t)), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-quic", true), chromedp.WindowSize(390, 844))
	actx, stop := chromedp.NewExecAllocator(t.Context(), opts...)
	t.Cleanup(stop)
	bctx, cancel := chromedp.NewContext(actx)
	t.Cleanup(cancel)
	// The browser lives as long as the first context it is used with, so that
	// one has no time limit; each test's own steps have.
	if err := chromedp.Do(bctx, chromedp.Navigate("about:blank")); err != nil {
		t.Fatalf("start the browser: %v", err)
	}
	return bctx
}

// serve runs the pages on a real port of this machine.
func serve(t *testing.T, h http.Handler, address string) string {
	t.Helper()
	ln, err := net.Listen("tcp", address)
	if err != nil {
		t.Fatal(err)
	}
	s := Server(h)
	go s.Serve(ln)
	t.Cleanup(func() { s.Close() })
	return "http://" + ln.Addr().String()
}

// steps runs browser steps within a time that a busy machine keeps.
func steps(t *testing.T, ctx context.Context, list ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	tctx, cancel := context.WithTimeout(ctx, 5*time.Minute) // under the race detector a page is read for more than one
	defer cancel()
	if err := chromedp.Do(tctx, list...); err != nil {
		where, _ := chromedp.Run(ctx, chromedp.Location())
		text, _ := chromedp.Run(ctx, chromedp.InnerHTML("body"))
		t.Fatalf("at %s: %v\n%s", where, err, text)
	}
}

// bodyText is what the page says. While one page gives way to the next, its body may go as it is read.
func bodyText(t *testing.T, ctx context.Context) string {
	t.Helper()
	const tries = 20
	for n := 1; ; n++ {
		s, err := chromedp.Run(ctx, chromedp.Text("body"))
		if err == nil {
			return s
		}
		if n == tries {
			t.Fatal(err)
		}
		time.Sleep(100 * time.Millisecond)
	}
}

// TestBrowser goes the clerk's way through the pages in a real browser: send a
// photo, read it back, correct a doubtful field, confirm, ask, see coverage.
func TestBrowser(t *testing.T) {
	ctx := browser(t)
	h, d := newTestSite(t)
	base := serve(t, h, "127.0.0.1:0")
	file := filepath.Join(t.TempDir(), "march roll.png")
	if err := os.WriteFile(file, photo(t, ""), 0o600); err != nil {
		t.Fatal(err)
	}
	steps(t, ctx, chromedp.Navigate(base+"/"), chromedp.SetUploadFiles("#photo", []string{file}), chromedp.WaitVisible("#chosen img"),
		chromedp.Click("#go"), chromedp.WaitVisible("form.slipform"))
	text := bodyText(t, ctx)
	for _, want := range []string{"Kept. 1 of 2 records doubtful", "the 8 could be a 3", "change the roll soon", "Tank leak test, tank 1"} {
		if !strings.Contains(text, want) {
			t.Errorf("after sending, the page does not say %q:\n%s", want, text)
		}
	}
	r1 := d.recordID(t, "c1", "1")
	field := "#i-" + r1 + "-leak_rate"
	// Every cut on the page must be a picture that the browser could show.
	broken, err := chromedp.Run(ctx, chromedp.Evaluate[string](`(async () => { for (const i of document.images) { i.loading = "eager"; try { await i.decode() } catch { return i.src } } return document.images.length ? "" : "no picture" })()`, chromedp.EvalAwaitPromise))
	if err != nil || broken != "" {
		t.Errorf("a picture is not shown: %q, %v", broken, err)
	}
	lit, err := chromedp.Run(ctx, chromedp.Evaluate[bool](`(document.querySelector("`+field+`").focus(), document.getElementById("b-`+r1+`-leak_rate").classList.contains("lit"))`))
	if err != nil || !lit {
		t.Errorf("the place of the focused field is not shown on the picture (%v)", err)
	}

	// A wrong value comes back with what is wrong, and what was typed.
	steps(t, ctx, chromedp.SetValue(field, "about 0.03"), chromedp.SendKeys("#by-"+r1, "Ada Clerk"),
		chromedp.Click(`button[value="confirm `+r1+`"]`), chromedp.WaitVisible("#e-"+r1+"-leak_rate"))
	if v, err := chromedp.Run(ctx, chromedp.Value(field)); err != nil || v != "about 0.03" {
		t.Errorf("what was typed is %q now (%v)", v, err)
	}
	steps(t, ctx, chromedp.SetValue(field, "-0.03"), chromedp.Click(`button[value="confirm `+r1+`"]`), chromedp.WaitVisible("#"+r1+" .good"))
	row, err := d.Record(t.Context(), r1)
	if n, _ := row.Record.Fields["leak_rate"].Number(); err != nil || !row.Confirmed || n != -0.03 {
		t.Errorf("the record became %+v, %v", row, err)
	}

	steps(t, ctx, chromedp.Navigate(base+"/"), chromedp.SendKeys("#q", "last passing diesel test\r"), chromedp.WaitVisible(".answer"))
	text = bodyText(t, ctx)
	if !strings.Contains(text, "confirmed by a person") || !strings.Contains(text, "-0.03") {
		t.Errorf("the answer does not show the confirmed record:\n%s", text)
	}
	steps(t, ctx, chromedp.Navigate(base+"/coverage"), chromedp.WaitVisible(".strip"))
}

// TestBrowserOverNetwork sends through a plain http address that is not this
// machine's own: there a browser does not say where a form comes from except by
// its origin.
func TestBrowserOverNetwork(t *testing.T) {
	address := outside()
	if address == "" {
		t.Skip("this machine has no network address besides its own")
	}
	ctx := browser(t)
	h, d := newTestSite(t)
	base := serve(t, h, net.JoinHostPort(address, "0"))
	file := filepath.Join(t.TempDir(), "march.png")
	if err := os.WriteFile(file, photo(t, ""), 0o600); err != nil {
		t.Fatal(err)
	}
	steps(t, ctx, chromedp.Navigate(base+"/"), chromedp.SetUploadFiles("#file", []string{file}), chromedp.Click("#go"), chromedp.WaitVisible("form.slipform"))
	if list, err := d.Captures(t.Context()); err != nil || len(list) != 1 {
		t.Errorf("%d captures kept (%v), want 1", len(list), err)
	}
}

// TestBrowserWithoutScript goes the same way with the script missing.
func TestBrowserWithoutScript(t *testing.T) {
	ctx := browser(t)
	h, d := newTestSite(t)
	base := serve(t, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasSuffix(r.URL.Path, ".js") {
			http.NotFound(w, r)
			return
		}
		h.ServeHTTP(w, r)
	}), "127.0.0.1:0")
	file, large := filepath.Join(t.TempDir(), "march.png"), filepath.Join(t.TempDir(), "large.png")
	for path, raw := range map[string][]byte{file: photo(t, ""), large: make([]byte, 3<<20)} {
		if err := os.WriteFile(path, raw, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	// Too much is told by a page, not by a broken connection.
	steps(t, ctx, chromedp.Navigate(base+"/"), chromedp.SetUploadFiles("#photo", []string{large}), chromedp.Click("#go"), chromedp.WaitNotPresent("#go"))
	if text := bodyText(t, ctx); !strings.Contains(text, "Code 413") || !strings.Contains(text, "Send fewer at a time") {
		t.Errorf("after sending too much, the page says:\n%s", text)
	}
	steps(t, ctx, chromedp.Navigate(base+"/"), chromedp.SetUploadFiles("#photo", []string{file}), chromedp.Click("#go"), chromedp.WaitVisible("form.slipform"))
	r1 := d.recordID(t, "c1", "1")
	// Enter in a field saves the corrections; it does not confirm the record.
	steps(t, ctx, chromedp.SendKeys("#by-"+r1, "Ada Clerk"), chromedp.SetValue("#i-"+r1+"-leak_rate", "-0.03"), chromedp.SendKeys("#i-"+r1+"-leak_rate", "\r"),
		chromedp.WaitVisible("p.done"))
	row, err := d.Record(t.Context(), r1)
	if n, _ := row.Record.Fields["leak_rate"].Number(); err != nil || row.Confirmed || n != -0.03 {
		t.Errorf("the record became %+v, %v", row, err)
	}
}

// outside gives an IPv4 address of this machine that is not a loopback one.
func outside() string {
	list, err := net.InterfaceAddrs()
	if err != nil {
		return ""
	}
	for _, a := range list {
		if n, ok := a.(*net.IPNet); ok && n.IP.To4() != nil && !n.IP.IsLoopback() && !n.IP.IsLinkLocalUnicast() {
			return n.IP.String()
		}
	}
	return ""
}

// TestShots takes a picture of every page on a phone and on a desk, for people
// to look at; it also finds pages that are wider than their window and doubtful
// fields that are squeezed.
func TestShots(t *testing.T) {
	ctx := browser(t)
	h, d := newTestSite(t)
	c := d.add(t, "march roll.png")
	blank, blurred := d.add(t, "blank.png"), d.add(t, "blurred.png")
	r1, r2 := d.recordID(t, c, "1"), d.recordID(t, c, "2")
	if w := post(t, h, slipPath(c), form("confirm "+r2, "Ada Clerk")); w.Code != http.StatusSeeOther {
		t.Fatalf("status %d", w.Code)
	}
	base := serve(t, h, "127.0.0.1:0")
	lookAt(t, ctx, base, "page", map[string]string{
		"home": "/", "capture": "/captures/" + c + "?sent=new", "blank": "/captures/" + blank + "?sent=new", "blurred": "/captures/" + blurred,
		"record": "/records/" + r1, "failed": "/records/" + r2, "ask": "/ask", "answers": "/ask?q=diesel", "found": "/ask?q=" + url.QueryEscape("river road"),
		"none": "/ask?q=zebra", "coverage": "/coverage", "captures": "/captures", "missing": "/captures/c99",
	})
}

// lookAt opens pages at two widths, finds those that are wider than their
// window or squeeze a doubtful field, and keeps their pictures where -shots says.
func lookAt(t *testing.T, ctx context.Context, base, prefix string, pages map[string]string) {
	t.Helper()
	for name, path := range pages {
		for _, width := range []int64{390, 1200} {
			steps(t, ctx, chromedp.EmulateViewport(width, 900), chromedp.Navigate(base+path), chromedp.WaitVisible("main"))
			wide, err := chromedp.Run(ctx, chromedp.Evaluate[int](`document.documentElement.scrollWidth`))
			if err != nil || wide > int(width) {
				t.Errorf("%s is %d pixels wide in a window of %d (%v)", path, wide, width, err)
			}
			// A doubtful field needs room for its reason and its picture.
			narrow, err := chromedp.Run(ctx, chromedp.Evaluate[string](`[...document.querySelectorAll(".field.doubtful")].filter(f => f.offsetWidth > 0 && f.offsetWidth < 0.9 * f.closest(".fields").clientWidth).map(f => f.id).join(" ")`))
			if err != nil || narrow != "" {
				t.Errorf("%s at %d pixels: doubtful fields squeezed: %s (%v)", path, width, narrow, err)
			}
			if *shots == "" {
				continue
			}
			png, err := chromedp.Run(ctx, chromedp.FullScreenshot(100))
			if err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(*shots, fmt.Sprintf("%s-%s-%d.png", prefix, name, width)), png, 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}
