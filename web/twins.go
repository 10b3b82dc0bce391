package web

import (
	"errors"
	"net/http"
	"strings"

	"tankroll/archive"
)

// twins are the records that one is, or may be, one with, and the form in which a
// person says which it is.
type twins struct {
	Action string
	One    []twin // it is one with them
	May    []twin // it may be
	By     string
	Note   string
	Error  string
}

// twin is another record, as it stands beside the one that is looked at.
type twin struct {
	ID, Heading, When, File string
	Differ                  string // in what they differ
	Pictures                []string
}

func (s *site) newTwins(r *http.Request, row archive.Row, t *typed) (twins, error) {
	out := twins{Action: "/records/" + row.ID + "/twin", By: cookie(r, nameCookie)}
	if t != nil && t.pair {
		out.By, out.Note, out.Error = t.by, t.note, t.line
	}
	for _, id := range row.With {
		other, err := s.desk.Record(r.Context(), id)
		if err != nil {
			return out, err
		}
		out.One = append(out.One, newTwin(other, ""))
	}
	list, err := s.desk.MayBeSame(r.Context(), row.ID)
	for _, a := range list {
		other, between := a.B, " here, "
		if a.B.ID == row.ID {
			other = a.A
			for i, c := range a.Differ { // this one's value first
				a.Differ[i].From, a.Differ[i].To = c.To, c.From
			}
		}
		differ := "They say the same, and neither surely enough."
		if len(a.Differ) > 0 {
			differ = "They differ: " + changeWords(a.Differ, between) + " there."
		}
		out.May = append(out.May, newTwin(other, differ))
	}
	return out, err
}

func newTwin(row archive.Row, differ string) twin {
	v := twin{ID: row.ID, Heading: heading(row.Record), When: when(row.At), File: row.File, Differ: differ}
	if areas := row.Record.Areas(); row.Capture != "" && len(areas) > 0 {
		// Of what stands on several pictures the first is its own.
		v.Pictures = pictureParts(row)[:1]
	}
	return v
}

// decideTwin takes what a person said of a record and another: that they are one,
// or two.
func (s *site) decideTwin(w http.ResponseWriter, r *http.Request) error {
	row, err := s.findRecord(r.Context(), r.PathValue("record"))
	if err != nil {
		return err
	}
	if err := parseForm(w, r); err != nil {
		return err
	}
	action, id, _ := strings.Cut(r.PostForm.Get("action"), " ")
	if action != archive.Same && action != archive.Differ {
		return errNoWish
	}
	other, err := s.findRecord(r.Context(), id)
	if err != nil {
		return err
	}
	t := &typed{pair: true, by: tidy(r.PostForm.Get("by"), longestName), note: tidy(r.PostForm.Get("note"), longestNote)}
	if t.by == "" {
		t.line = "Nothing was saved yet: say who you are, a decision stands with a name."
		return s.showRecord(w, r, http.StatusUnprocessableEntity, row, t)
	}
	setCookie(w, nameCookie, t.by)
	err = s.desk.Decide(r.Context(), archive.Decision{Record: row.ID, Action: action, Other: other.ID, By: t.by, Note: t.note, At: s.opt.Now()})
	if errors.Is(err, archive.ErrValue) {
		t.line = "Not saved: " + reason(err) + "."
		return s.showRecord(w, r, http.StatusUnprocessableEntity, row, t)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/records/"+row.ID+"?done="+action, http.StatusSeeOther)
	return nil
}
