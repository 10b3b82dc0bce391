package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"path"
	"strconv"
	"strings"

	"tankroll/archive"
	"tankroll/record"
)

// validID reports whether an id has the form of the archive's: a letter and a
// number.
func validID(letter byte, id string) bool {
	if len(id) < 2 || len(id) > 19 || id[0] != letter || id[1] == '0' {
		return false
	}
	return strings.Trim(id[1:], "0123456789") == ""
}

func (s *site) findCapture(ctx context.Context, id string) (archive.Capture, error) {
	if !validID('c', id) {
		return archive.Capture{}, archive.ErrNotFound
	}
	return s.desk.Capture(ctx, id)
}

// captureData is the page about one capture.
type captureData struct {
	Capture  archive.Capture
	Page     int
	Pages    []int
	Slips    []slipView
	Warnings []warning
	Loose    []answerView // records whose slip is not known any more
	New      bool
	Already  bool
	Doubtful int
	Records  int
	Done     string
	PageURL  string
}

// capture shows what was read from one picture beside the picture.
func (s *site) capture(w http.ResponseWriter, r *http.Request) error {
	page := 1
	if q := r.URL.Query().Get("page"); q != "" {
		n, err := strconv.Atoi(q)
		if err != nil {
			return errNoPage
		}
		page = n
	}
	return s.showCapture(w, r, http.StatusOK, r.PathValue("capture"), page, nil)
}

// showCapture shows a capture, with what a person typed and was not taken.
func (s *site) showCapture(w http.ResponseWriter, r *http.Request, status int, id string, page int, t *typed) error {
	c, err := s.findCapture(r.Context(), id)
	if err != nil {
		return err
	}
	d, err := s.captureData(r, c, page, t)
	if err != nil {
		return err
	}
	return s.show(w, status, "capture", frame{Title: "Printout " + c.ID, Here: "captures", Data: d})
}

func (s *site) captureData(r *http.Request, c archive.Capture, page int, t *typed) (captureData, error) {
	q := r.URL.Query()
	d := captureData{Capture: c, Page: page, New: q.Get("sent") == "new", Already: q.Get("sent") == "already",
		Done: doneWords(q.Get("done")), PageURL: fmt.Sprintf("/captures/%s/pages/%d/picture.jpg", c.ID, page)}
	readings, err := s.desk.Readings(r.Context(), c.ID)
	if err != nil {
		return d, err
	}
	rows, err := s.desk.Rows(r.Context(), archive.Filter{Capture: c.ID, Rejected: true})
	if err != nil {
		return d, err
	}
	var here *archive.Reading
	for i, p := range readings {
		d.Pages = append(d.Pages, p.Page)
		if p.Page == d.Page {
			here = &readings[i]
		}
	}
	if here == nil {
		if len(readings) > 0 {
			return d, errNoPage
		}
		d.Warnings = []warning{{false, "The picture is kept. It has not been read yet: the reading was interrupted. It is read when tankroll is started again."}}
		here = &archive.Reading{Capture: c.ID, Page: d.Page}
	} else {
		d.Warnings = pageWarnings(*here)
	}
	return d, s.placeRows(r, &d, *here, rows, t)
}

// original sends the bytes as they came in. Only kinds that a browser shows
// safely are shown; all else is saved.
func (s *site) original(w http.ResponseWriter, r *http.Request) error {
	c, err := s.findCapture(r.Context(), r.PathValue("capture"))
	if err != nil {
		return err
	}
	raw, err := s.desk.Original(r.Context(), c.ID)
	if err != nil {
		return err
	}
	kind := http.DetectContentType(raw)
	h := w.Header()
	switch kind {
	case "image/jpeg", "image/png", "image/webp", "image/gif":
	case "application/pdf":
		// A browser's own viewer is built of scripts and styles that the policy
		// of our pages would forbid; it runs apart from them.
		h.Del("Content-Security-Policy")
	default:
		kind = "application/octet-stream"
		h.Set("Content-Disposition", `attachment; filename="`+c.ID+safeExt(c.File)+`"`)
	}
	h.Set("Content-Type", kind)
	h.Set("ETag", `"`+c.SHA256+`"`)
	h.Set("Cache-Control", "private, no-cache")
	h.Set("X-Original-Sha256", c.SHA256)
	if r.Header.Get("If-None-Match") == `"`+c.SHA256+`"` {
		w.WriteHeader(http.StatusNotModified)
		return nil
	}
	h.Set("Content-Length", strconv.Itoa(len(raw)))
	_, _ = w.Write(raw)
	return nil
}

// safeExt is a file name's ending when it is a plain one.
func safeExt(name string) string {
	ext := strings.ToLower(path.Ext(name))
	if len(ext) < 2 || len(ext) > 6 || strings.Trim(ext[1:], "abcdefghijklmnopqrstuvwxyz0123456789") != "" {
		return ".bin"
	}
	return ext
}

func pathNumber(r *http.Request, name string, from int) (int, error) {
	n, err := strconv.Atoi(r.PathValue(name))
	if err != nil || n < from || n > 1<<20 {
		return 0, errNoPage
	}
	return n, nil
}

func (s *site) pagePicture(w http.ResponseWriter, r *http.Request) error {
	c, err := s.findCapture(r.Context(), r.PathValue("capture"))
	if err != nil {
		return err
	}
	page, err := pathNumber(r, "page", 1)
	if err != nil {
		return err
	}
	return s.sendCut(w, r, cut{capture: c, page: page})
}

// thumb is a page's first slip, upright and small, or the page when there is
// none.
func (s *site) thumb(w http.ResponseWriter, r *http.Request) error {
	c, err := s.findCapture(r.Context(), r.PathValue("capture"))
	if err != nil {
		return err
	}
	page, err := pathNumber(r, "page", 1)
	if err != nil {
		return err
	}
	small := cut{capture: c, page: page, widest: thumbWidest}
	sl, err := s.desk.Slip(r.Context(), c.ID, page, 0)
	switch {
	case err == nil:
		small.box, small.turn = slipArea(sl.Slip), sl.Slip.Turn
	case !errors.Is(err, archive.ErrNotFound):
		return err
	}
	return s.sendCut(w, r, small)
}

// slipOf finds the slip that an address names.
func (s *site) slipOf(r *http.Request) (c archive.Capture, page int, sl record.Slip, err error) {
	if c, err = s.findCapture(r.Context(), r.PathValue("capture")); err != nil {
		return c, 0, sl, err
	}
	if page, err = pathNumber(r, "page", 1); err != nil {
		return c, 0, sl, err
	}
	n, err := pathNumber(r, "slip", 0)
	if err != nil {
		return c, 0, sl, err
	}
	read, err := s.desk.Slip(r.Context(), c.ID, page, n)
	return c, page, read.Slip, err
}

func (s *site) slipPicture(w http.ResponseWriter, r *http.Request) error {
	c, page, sl, err := s.slipOf(r)
	if err != nil {
		return err
	}
	return s.sendCut(w, r, cut{capture: c, page: page, box: slipArea(sl), turn: sl.Turn})
}

// linePicture shows one printed line, named by its number on the slip.
func (s *site) linePicture(w http.ResponseWriter, r *http.Request) error {
	c, page, sl, err := s.slipOf(r)
	if err != nil {
		return err
	}
	n, err := strconv.Atoi(strings.TrimSuffix(r.PathValue("line"), ".jpg"))
	if err != nil || n < 0 || n >= len(sl.Lines) || sl.Lines[n].Box.IsZero() {
		return archive.ErrNotFound
	}
	return s.sendCut(w, r, cut{capture: c, page: page, box: widen(sl.Lines[n].Box, recordMargin), turn: sl.Turn})
}
