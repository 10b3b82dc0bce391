package web

import (
	"net"
	"net/http"
	"net/netip"
	"slices"
	"strings"
	"time"
)

// Server gives a server for the pages with the time limits that they need: a
// slow phone may take minutes to send its photos, but not to send a header.
func Server(h http.Handler) *http.Server {
	return &http.Server{
		Handler:           h,
		ReadHeaderTimeout: 10 * time.Second,
		ReadTimeout:       5 * time.Minute,
		WriteTimeout:      time.Minute, // each page moves it to what it needs
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    32 << 10,
	}
}

// policy lets a page load only our own style, script and pictures; blob: is the
// chosen photo shown before it is sent.
const policy = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' blob:; " +
	"form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// guard stands before every page: who may ask (the name it is asked under),
// from where a form may come, and what the browser may do with the answer.
func (s *site) guard(next http.Handler) http.Handler {
	cross := http.NewCrossOriginProtection()
	cross.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.fail(w, r, plainError{http.StatusForbidden, "This came from another site's page and was refused. Open tankroll itself and do it there."})
	}))
	inner := cross.Handler(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		// Not no-referrer: with it a browser sends "Origin: null" with our own forms,
		// and on a plain http address of the local network that is all there is to
		// tell them from a foreign one. Other sites are told nothing either way.
		h.Set("Referrer-Policy", "same-origin")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		if !s.knownHost(r.Host) {
			s.fail(w, r, plainError{http.StatusMisdirectedRequest, "tankroll is not served under this name. Use the address it printed when it started."})
			return
		}
		inner.ServeHTTP(w, r)
	})
}

// knownHost reports whether a Host header may stand. An address in numbers
// cannot be pointed elsewhere by a foreign name server, so it always may.
func (s *site) knownHost(host string) bool {
	name := host
	if h, _, err := net.SplitHostPort(host); err == nil {
		name = h
	}
	name = strings.TrimSuffix(strings.ToLower(name), ".")
	if _, err := netip.ParseAddr(strings.Trim(name, "[]")); err == nil {
		return true
	}
	return name == "localhost" || slices.ContainsFunc(s.opt.Hosts, func(h string) bool { return strings.EqualFold(h, name) })
}
