package web

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

func TestHosts(t *testing.T) {
	d := newTestDesk(t)
	h := New(d, Options{Hosts: []string{"office.example"}})
	for host, want := range map[string]int{
		"localhost": 200, "localhost:8080": 200, "LOCALHOST.:1": 200, "127.0.0.1:8080": 200, "[::1]:8080": 200, "192.168.1.5:8080": 200,
		"office.example": 200, "Office.Example:8080": 200,
		"evil.example": 421, "evil.example:8080": 421, "localhost.evil.example": 421, "127.0.0.1.evil.example": 421, "": 421, "a:b:c": 421,
	} {
		r := httptest.NewRequest("GET", "/", nil)
		r.Host = host
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		if w.Code != want {
			t.Errorf("host %q: status %d, want %d", host, w.Code, want)
		}
	}
}

// TestCrossSite: a form on a foreign page can change nothing here, and our own
// forms work with all that browsers tell: with Sec-Fetch-Site, and on a plain
// http address of the local network with Origin alone.
func TestCrossSite(t *testing.T) {
	h, d := newTestSite(t)
	r1 := d.recordID(t, d.add(t, "march.png"), "1")
	for _, c := range []struct {
		name, host string
		header     map[string]string
		want       int
	}{
		{"cross-site", "localhost:8080", map[string]string{"Sec-Fetch-Site": "cross-site"}, 403},
		{"same-site", "localhost:8080", map[string]string{"Sec-Fetch-Site": "same-site"}, 403},
		{"foreign origin", "192.168.1.5:8080", map[string]string{"Origin": "http://evil.example"}, 403},
		{"null origin", "192.168.1.5:8080", map[string]string{"Origin": "null"}, 403},
		{"other port", "192.168.1.5:8080", map[string]string{"Origin": "http://192.168.1.5:9999"}, 403},
		{"same-origin", "localhost:8080", map[string]string{"Sec-Fetch-Site": "same-origin"}, 303},
		{"own origin", "192.168.1.5:8080", map[string]string{"Origin": "http://192.168.1.5:8080"}, 303},
		{"script", "localhost:8080", nil, 303},
	} {
		r := httptest.NewRequest("POST", "/records/"+r1, strings.NewReader("by=Ada&action=confirm+"+r1))
		r.Host = c.host
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		for k, v := range c.header {
			r.Header.Set(k, v)
		}
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		if w.Code != c.want {
			t.Errorf("%s: status %d, want %d", c.name, w.Code, c.want)
		}
	}
	past, err := d.History(t.Context(), r1)
	if err != nil || len(past) != 3 {
		t.Errorf("%d decisions were kept (%v), want the 3 of our own forms", len(past), err)
	}
}

func TestHeaders(t *testing.T) {
	h, d := newTestSite(t)
	c := d.add(t, "march.png")
	for _, path := range []string{"/", "/captures/" + c, "/captures/" + c + "/original", "/static/page.js", "/nothing"} {
		got := get(t, h, path).Header()
		for name, want := range map[string]string{"X-Content-Type-Options": "nosniff", "Referrer-Policy": "same-origin", "X-Frame-Options": "DENY"} {
			if got.Get(name) != want {
				t.Errorf("%s: %s is %q, want %q", path, name, got.Get(name), want)
			}
		}
		csp := got.Get("Content-Security-Policy")
		if !strings.Contains(csp, "default-src 'none'") || strings.Contains(csp, "unsafe") {
			t.Errorf("%s: content security policy %q", path, csp)
		}
	}
	// A page with a script of its own would be blocked by the policy.
	for _, path := range []string{"/", "/captures/" + c, "/coverage", "/ask?q=diesel"} {
		wantNone(t, path, mustGet(t, h, path), " style=", "<style", "onclick=", "onload=", "javascript:")
	}
}

func TestMethods(t *testing.T) {
	h, _ := newTestSite(t)
	for _, c := range []struct {
		method, path string
		want         int
	}{{"POST", "/", 404}, {"DELETE", "/records/r1", 404}, {"GET", "/send", 404}, {"PUT", "/coverage", 404}} {
		w := httptest.NewRecorder()
		h.ServeHTTP(w, httptest.NewRequest(c.method, "http://localhost"+c.path, nil))
		if w.Code != c.want {
			t.Errorf("%s %s: status %d, want %d", c.method, c.path, w.Code, c.want)
		}
	}
}

func TestServerHasTimeouts(t *testing.T) {
	s := Server(http.NotFoundHandler())
	if s.ReadHeaderTimeout == 0 || s.ReadTimeout == 0 || s.WriteTimeout == 0 || s.IdleTimeout == 0 {
		t.Errorf("a server without a time limit: %+v", s)
	}
}
