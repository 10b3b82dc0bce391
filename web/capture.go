package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"path"
	"slices"
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

// warning is one thing to do about the picture or the paper.
type warning struct {
	Again bool // take the picture again
	Line  string
}

// slipView is one slip with its picture and what was read.
type slipView struct {
	Number   int // from 1
	Title    string
	Picture  overlay
	Header   []headerView // when there is no record that could carry it
	Warnings []warning
	Form     *formView // nil without records
	Text     []string
}

type headerView struct {
	Name, Value string
	Sure        bool
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
	s.placeRows(r, &d, *here, rows, t)
	return d, nil
}

// placeRows puts the records of one page under their slips.
func (s *site) placeRows(r *http.Request, d *captureData, here archive.Reading, rows []archive.Row, t *typed) {
	bySlip := make([][]archive.Row, len(here.Slips))
	for _, row := range rows {
		if row.Page != here.Page {
			continue
		}
		if !row.Rejected {
			d.Records++
			if !row.Sure() {
				d.Doubtful++
			}
		}
		if row.Slip < 0 || row.Slip >= len(here.Slips) {
			d.Loose = append(d.Loose, newAnswerView(row))
			continue
		}
		bySlip[row.Slip] = append(bySlip[row.Slip], row)
	}
	for i, sl := range here.Slips {
		v := slipView{Number: i + 1, Title: "Slip", Warnings: slipWarnings(sl), Text: sl.Slip.Text(), Picture: newOverlay(here.Capture, here.Page, i, sl.Slip)}
		if len(here.Slips) > 1 {
			v.Title = fmt.Sprintf("Slip %d of %d", i+1, len(here.Slips))
		}
		if len(bySlip[i]) == 0 {
			v.Header = headerOf(sl.Report.Header)
		} else {
			v.fill(r, here, i, bySlip[i], t)
		}
		d.Slips = append(d.Slips, v)
	}
}

// fill puts a slip's records into its form and on its picture.
func (v *slipView) fill(r *http.Request, here archive.Reading, slip int, rows []archive.Row, t *typed) {
	// In the order of the paper: the archive gives them by time.
	slices.SortStableFunc(rows, func(a, b archive.Row) int { return a.Index - b.Index })
	if t != nil && t.slip != slip {
		t = nil
	}
	v.Form = newForm(r, fmt.Sprintf("/captures/%s/pages/%d/slips/%d", here.Capture, here.Page, slip), rows, t)
	v.Form.Alone = false
	v.Picture.add(v.Form.Header)
	for _, rec := range v.Form.Records {
		v.Picture.add(rec.Fields)
	}
}

// pageWarnings says what to do when a page gave nothing.
func pageWarnings(p archive.Reading) []warning {
	switch {
	case p.Error != "":
		return []warning{{true, "Take it again before the paper is thrown away: " + p.Error + "."}}
	case len(p.Slips) == 0:
		return []warning{{true, "Take it again before the paper is thrown away: no printout was found in this picture. Lay the slip flat on a darker ground, fill the picture with it and keep it in even light."}}
	}
	return nil
}

// faint is the ink below which a slip should be photographed again in better
// light while it can still be seen: about where fields begin to be lost.
const faint = 0.15

func slipWarnings(sl archive.SlipReading) []warning {
	var out []warning
	p := sl.Slip.Paper
	if p.Blurred {
		out = append(out, warning{true, "Take it again before the paper is thrown away: the picture is blurred. Hold the phone still and tap on the print to focus."})
	}
	if p.CutOff {
		out = append(out, warning{true, "Take it again before the paper is thrown away: printed lines run off the picture. Get the whole slip into it."})
	}
	switch {
	case len(sl.Slip.Text()) == 0:
		out = append(out, warning{true, "Take it again before the paper is thrown away: no print was found on this slip."})
	case len(sl.Report.Records) == 0:
		out = append(out, warning{true, "No record was found in the print. If the paper shows one, take it again closer; the picture and its words are kept and can be found."})
	case p.Ink > 0 && p.Ink < faint:
		out = append(out, warning{false, "The print is very faint. Compare every field with the paper while it can still be seen."})
	}
	if p.EndOfRoll {
		out = append(out, warning{false, "The coloured stripe shows: change the roll soon."})
	}
	return out
}

func headerOf(h record.Header) []headerView {
	var out []headerView
	for _, f := range []struct {
		name string
		f    *record.Field
	}{{"site", h.Site}, {"site_number", h.SiteNumber}, {"address", h.Address}, {"printed_at", h.PrintedAt}} {
		if f.f != nil {
			out = append(out, headerView{fieldWords(f.name), valueWords(f.name, *f.f), f.f.Sure})
		}
	}
	return out
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
