package web

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"errors"
	"fmt"
	"html/template"
	"log/slog"
	"net/http"
	"time"

	"golang.org/x/sync/semaphore"

	"tankroll/archive"
)

// Options tune the pages. The zero value works.
type Options struct {
	// Hosts are the names under which the pages may be asked for, besides
	// localhost and any address in numbers. A name that is not listed is
	// refused: a foreign page could have pointed its own name at this machine.
	Hosts []string
	// Limits on what is sent in one go; a zero field means its default.
	Limits Limits
	// Log is told of errors that are not the visitor's. Nil means slog.Default.
	Log *slog.Logger
	// Now is the clock; nil means time.Now.
	Now func() time.Time
}

// Limits bound what one request may send.
type Limits struct {
	Files     int   // photos in one go
	FileBytes int64 // one photo
	Bytes     int64 // the whole request
}

// The default limits.
const (
	maxFiles     = 12       // a month of one tank's slips; more belongs to the add command
	maxFileBytes = 32 << 20 // a 50-megapixel phone photo is about 25 MB
	maxBytes     = 96 << 20 // held in memory while it arrives; two senders at once
)

// maxForm bounds a form without files: a slip of a hundred alarms has some
// thousand inputs of a hundred bytes.
const maxForm = 1 << 20

// pageTime is how long one page may work; sendTime how long a sent batch may be
// read: a faded photo takes seconds, a batch of them minutes. sendWait is how
// long a batch may wait for others; a phone's browser gives up soon after.
const (
	pageTime = 30 * time.Second
	sendTime = 10 * time.Minute
	sendWait = 90 * time.Second
)

//go:embed templates/*.html
var templateFiles embed.FS

//go:embed static
var staticFiles embed.FS

// site is the set of pages over one desk.
type site struct {
	desk     Desk
	opt      Options
	pages    *template.Template
	pictures *pictures
	sending  *semaphore.Weighted // batches held in memory at once
}

// New gives the pages over desk. It panics only when the templates built into
// the program are broken.
func New(desk Desk, opt Options) http.Handler {
	if opt.Limits.Files == 0 {
		opt.Limits.Files = maxFiles
	}
	if opt.Limits.FileBytes == 0 {
		opt.Limits.FileBytes = maxFileBytes
	}
	if opt.Limits.Bytes == 0 {
		opt.Limits.Bytes = max(maxBytes, opt.Limits.FileBytes)
	}
	if opt.Log == nil {
		opt.Log = slog.Default()
	}
	if opt.Now == nil {
		opt.Now = time.Now
	}
	s := &site{
		desk:     desk,
		opt:      opt,
		pages:    template.Must(template.New("").Funcs(funcs).ParseFS(templateFiles, "templates/*.html")),
		pictures: newPictures(desk),
		sending:  semaphore.NewWeighted(2),
	}
	return s.guard(s.routes())
}

func (s *site) routes() http.Handler {
	mux := http.NewServeMux()
	page := func(pattern string, limit time.Duration, h func(http.ResponseWriter, *http.Request) error) {
		mux.Handle(pattern, s.page(limit, h))
	}
	page("GET /{$}", pageTime, s.home)
	page("POST /send", sendTime, s.send)
	page("GET /sent", pageTime, s.sent)
	page("GET /captures", pageTime, s.captureList)
	page("GET /captures/{capture}", pageTime, s.capture)
	page("GET /captures/{capture}/original", pageTime, s.original)
	page("GET /captures/{capture}/pages/{page}/picture.jpg", pageTime, s.pagePicture)
	page("POST /captures/{capture}/pages/{page}/slips/{slip}", pageTime, s.decideSlip)
	page("GET /captures/{capture}/pages/{page}/thumb.jpg", pageTime, s.thumb)
	page("GET /captures/{capture}/pages/{page}/slips/{slip}/picture.jpg", pageTime, s.slipPicture)
	page("GET /captures/{capture}/pages/{page}/slips/{slip}/lines/{line}", pageTime, s.linePicture)
	page("GET /records/{record}", pageTime, s.record)
	page("POST /records/{record}", pageTime, s.decideRecord)
	page("POST /records/{record}/twin", pageTime, s.decideTwin)
	page("GET /records/{record}/picture.jpg", pageTime, s.recordPicture)
	page("GET /records/{record}/fields/{field}", pageTime, s.fieldPicture)
	page("GET /ask", pageTime, s.ask)
	page("GET /find", pageTime, s.find)
	page("GET /ask.json", pageTime, s.askJSON)
	page("GET /find.json", pageTime, s.findJSON)
	page("GET /coverage", pageTime, s.coverage)
	page("/", pageTime, func(http.ResponseWriter, *http.Request) error { return errNoPage })

	page("GET /static/{file}", pageTime, static)
	return mux
}

// staticKinds are the files that the pages load, and what they are.
var staticKinds = map[string]string{
	"style.css": "text/css; charset=utf-8",
	"page.js":   "text/javascript; charset=utf-8",
	"icon.svg":  "image/svg+xml",
}

// static sends a file that is built into the program. Browsers ask for it each
// time, so that a newer program is never shown in an older dress.
func static(w http.ResponseWriter, r *http.Request) error {
	kind, ok := staticKinds[r.PathValue("file")]
	if !ok {
		return errNoPage
	}
	raw, err := staticFiles.ReadFile("static/" + r.PathValue("file"))
	if err != nil {
		return err
	}
	sum := sha256.Sum256(raw)
	tag := `"` + hex.EncodeToString(sum[:12]) + `"`
	w.Header().Set("Content-Type", kind)
	w.Header().Set("ETag", tag)
	w.Header().Set("Cache-Control", "no-cache")
	if r.Header.Get("If-None-Match") == tag {
		w.WriteHeader(http.StatusNotModified)
		return nil
	}
	_, _ = w.Write(raw)
	return nil
}

// page turns a handler that returns an error into one that answers with a page
// about it, and bounds its time.
func (s *site) page(limit time.Duration, h func(http.ResponseWriter, *http.Request) error) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		ctx, cancel := context.WithTimeout(r.Context(), limit)
		defer cancel()
		// A server without deadlines, or a test's recorder, has none to move.
		_ = http.NewResponseController(w).SetWriteDeadline(time.Now().Add(limit + pageTime))
		if err := h(w, r.WithContext(ctx)); err != nil {
			s.fail(w, r, err)
		}
	})
}

// frame is what every page's template is given.
type frame struct {
	Title string
	Here  string // the part of the site: send ask coverage captures
	Data  any
}

// show answers with a page. It is put together before the first byte is sent,
// so that a fault in it cannot leave half a page.
func (s *site) show(w http.ResponseWriter, status int, name string, f frame) error {
	var b bytes.Buffer
	if err := s.pages.ExecuteTemplate(&b, name, f); err != nil {
		return fmt.Errorf("page %s: %w", name, err)
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store") // a name and decisions stand on it
	w.WriteHeader(status)
	_, _ = w.Write(b.Bytes()) // a visitor who left is no fault
	return nil
}

// plainError is an error to show to the visitor as it stands.
type plainError struct {
	status int
	line   string // one plain sentence
}

func (e plainError) Error() string { return e.line }

var errorTitles = map[int]string{
	http.StatusBadRequest: "Not understood", http.StatusForbidden: "Refused", http.StatusNotFound: "Not found",
	http.StatusRequestEntityTooLarge: "Too large", http.StatusMisdirectedRequest: "Not known under this name",
	http.StatusServiceUnavailable: "Not now",
}

var errNoPage = plainError{http.StatusNotFound, "There is no such page. The address may be mistyped."}

// fail answers with a page that says in a plain line what went wrong.
func (s *site) fail(w http.ResponseWriter, r *http.Request, err error) {
	var plain plainError
	switch {
	case errors.As(err, &plain):
	case errors.Is(err, archive.ErrNotFound):
		plain = plainError{http.StatusNotFound, "The archive holds nothing under this address."}
	case errors.Is(err, context.DeadlineExceeded):
		plain = plainError{http.StatusServiceUnavailable, "This took too long and was stopped. Nothing that was kept is lost. Try again."}
	case errors.Is(err, context.Canceled):
		return // the visitor left
	default:
		s.opt.Log.Error("page", "path", r.URL.Path, "err", err)
		plain = plainError{http.StatusInternalServerError, "Something went wrong here, not with what you did. Nothing that was kept is lost. Try again; the reason is in the log."}
	}
	f := frame{Title: cmp.Or(errorTitles[plain.status], "A fault"), Data: plain}
	if err := s.show(w, plain.status, "error", f); err != nil {
		s.opt.Log.Error("error page", "err", err)
		http.Error(w, plain.line, plain.status)
	}
}

// Status and Line are for the template.
func (e plainError) Status() int  { return e.status }
func (e plainError) Line() string { return e.line }
