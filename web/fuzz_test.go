package web

import (
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
)

// FuzzAddress asks for any address: it is answered, and never with a fault of
// ours.
func FuzzAddress(f *testing.F) {
	h, d := newTestSite(f)
	d.add(f, "march.png")
	for _, s := range []string{"/", "/captures/c1?page=1", "/captures/c1/pages/1/slips/0/picture.jpg", "/captures/c1/pages/1/slips/0/lines/3.jpg", "/records/r1",
		"/records/r1/fields/leak_rate.jpg", "/ask?q=diesel", "/find?q=diesel+site:114&sort=printed", "/find?q=%22", "/coverage?from=2025-01-01&to=2025-03-01&site=114", "/captures/c1/original", "/sent?c=c1&c=c2",
		"/captures/c9223372036854775808", "/captures/c1/pages/99999999999999999999/picture.jpg", "//x", "/records/r1/fields/../x.jpg", "/static/%2e%2e/web.go"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, address string) {
		u, err := url.Parse(address)
		if err != nil || !strings.HasPrefix(u.Path, "/") {
			t.Skip()
		}
		r := httptest.NewRequest("GET", "http://localhost/", nil)
		u.Host, u.Scheme = "localhost", "http"
		r.URL = u
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		if w.Code >= 500 {
			t.Errorf("GET %q: status %d", address, w.Code)
		}
	})
}

// FuzzForm sends anything to the three forms: it is answered, never with a
// fault of ours, and no original is changed by it.
func FuzzForm(f *testing.F) {
	h, d := newTestSite(f)
	d.add(f, "march.png")
	for _, s := range []string{"action=confirm&by=Ada", "action=correct&by=Ada&v.r1.leak_rate=-0.1&was.r1.leak_rate=-0.08", "action=reject+r2&by=Ada&note=x", "action=undo+r1&by=Ada",
		"v.h.site=\x00&was.h.site=&by=\xff&action=correct", "action=correct&by=Ada&v.r1.tank=99999999999999999999&was.r1.tank=1", "%zz", "--x\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"a\"\r\n\r\n\x89PNG\r\n--x--\r\n"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, body string) {
		for path, kind := range map[string]string{"/records/r1": "application/x-www-form-urlencoded", slipPath("c1"): "application/x-www-form-urlencoded", "/send": "multipart/form-data; boundary=x"} {
			r := httptest.NewRequest("POST", "http://localhost"+path, io.NopCloser(strings.NewReader(body)))
			r.Header.Set("Content-Type", kind)
			w := httptest.NewRecorder()
			h.ServeHTTP(w, r)
			if w.Code >= 500 {
				t.Errorf("POST %s: status %d", path, w.Code)
			}
		}
		if w := get(t, h, "/captures/c1/original"); w.Code != http.StatusOK {
			t.Errorf("the original: status %d", w.Code)
		}
	})
}
