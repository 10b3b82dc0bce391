package web

import (
	"context"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"tankroll/archive"
	"tankroll/record"
)

func (s *site) findRecord(ctx context.Context, id string) (archive.Row, error) {
	if !validID('r', id) {
		return archive.Row{}, archive.ErrNotFound
	}
	return s.desk.Record(ctx, id)
}

type recordData struct {
	Row      archive.Row
	Heading  string
	Site     string
	Pictures []string // addresses of the parts of the pictures that it stands on
	Form     *formView
	Capture  archive.Capture
	Past     past
	Twins    twins
	Done     string
}

// record shows one record with everything that was decided about it.
func (s *site) record(w http.ResponseWriter, r *http.Request) error {
	row, err := s.findRecord(r.Context(), r.PathValue("record"))
	if err != nil {
		return err
	}
	return s.showRecord(w, r, http.StatusOK, row, nil)
}

func (s *site) showRecord(w http.ResponseWriter, r *http.Request, status int, row archive.Row, t *typed) error {
	d := recordData{Row: row, Heading: heading(row.Record), Site: siteWords(row.Site, row.SiteName),
		Pictures: pictureParts(row),
		Form:     newForm(r, "/records/"+row.ID, []archive.Row{row}, t), Done: doneWords(r.URL.Query().Get("done"))}
	var err error
	if row.Capture != "" {
		if d.Capture, err = s.desk.Capture(r.Context(), row.Capture); err != nil {
			return err
		}
	}
	story, err := s.desk.Story(r.Context(), row.ID)
	if err != nil {
		return err
	}
	d.Past = newPast(story)
	for _, e := range story.Events {
		standing := !e.Undone && (e.What == archive.Correct || e.What == archive.Confirm || e.What == archive.Reject)
		d.Form.Records[0].Decided = d.Form.Records[0].Decided || standing
	}
	if d.Twins, err = s.newTwins(r, row, t); err != nil {
		return err
	}
	d.Form.Records[0].Shut = false
	return s.show(w, status, "record", frame{Title: d.Heading + ", record " + row.ID, Here: "captures", Data: d})
}

// doneWords says what was just done.
func doneWords(action string) string {
	switch action {
	case archive.Confirm:
		return "Confirmed."
	case archive.Correct:
		return "Corrections saved."
	case archive.Reject:
		return "Rejected. The record no longer counts; the picture and the reading are kept."
	case archive.Undo:
		return "Taken back. The decision stays in the history."
	case archive.Same:
		return "They are one record now, with the pictures of both. Every picture keeps its own reading."
	case archive.Differ:
		return "They are two records."
	}
	return ""
}

func (s *site) recordPicture(w http.ResponseWriter, r *http.Request) error {
	row, err := s.pictured(r)
	if err != nil {
		return err
	}
	areas := row.Record.Areas()
	if q := r.URL.Query().Get("part"); q != "" {
		n, err := strconv.Atoi(q)
		if err != nil {
			return errNoPage
		}
		areas = slices.DeleteFunc(areas, func(b record.Box) bool { return b.Part != n })
	}
	if len(areas) == 0 {
		return archive.ErrNotFound // typed in by hand: there is no picture of it
	}
	return s.sendPart(w, r, row.On(areas[0]), recordArea(row.On(areas[0]), areas[0]))
}

// pictureParts are the addresses of what the record stands on: one picture, or
// more when its slip was joined of several.
func pictureParts(row archive.Row) []string {
	if row.Capture == "" {
		return nil
	}
	var out []string
	for i, b := range row.Record.Areas() {
		href := "/records/" + row.ID + "/picture.jpg"
		if i > 0 {
			href += "?part=" + strconv.Itoa(b.Part)
		}
		out = append(out, href)
	}
	return out
}

func (s *site) fieldPicture(w http.ResponseWriter, r *http.Request) error {
	row, err := s.pictured(r)
	if err != nil {
		return err
	}
	name, ok := strings.CutSuffix(r.PathValue("field"), ".jpg")
	f, has := fieldOf(row, name)
	if !ok || !has {
		return archive.ErrNotFound
	}
	on := row.On(f.Box)
	return s.sendPart(w, r, on, fieldArea(f.Box, on.Turn))
}

// sendPart answers with a place on one picture of a slip.
func (s *site) sendPart(w http.ResponseWriter, r *http.Request, on record.Part, box record.Box) error {
	if box.IsZero() {
		return archive.ErrNotFound // typed in by hand: there is no picture of it
	}
	c, err := s.desk.Capture(r.Context(), on.Capture)
	if err != nil {
		return err
	}
	return s.sendCut(w, r, cut{capture: c, page: on.Page, box: box, turn: on.Turn})
}

func (s *site) pictured(r *http.Request) (archive.Row, error) {
	row, err := s.findRecord(r.Context(), r.PathValue("record"))
	if err == nil && row.Capture == "" {
		err = archive.ErrNotFound
	}
	return row, err
}
