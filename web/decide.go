package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"unicode/utf8"

	"tankroll/archive"
	"tankroll/record"
)

const (
	longestValue = 200 // no roll prints a longer line
	longestNote  = 1000
	longestName  = 60
)

// decide takes a person's decision about a record. Corrections typed beside
// another action are kept too: nothing typed is dropped.
func (s *site) decide(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, maxForm)
	if err := r.ParseForm(); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			return plainError{http.StatusRequestEntityTooLarge, "The form is larger than any record. Nothing was changed."}
		}
		return plainError{http.StatusBadRequest, "The form did not arrive whole. Nothing was changed. Go back and send it again."}
	}
	row, err := s.findRecord(r.Context(), r.PathValue("record"))
	if err != nil {
		return err
	}
	action := r.PostForm.Get("action")
	if !slices.Contains([]string{archive.Confirm, archive.Correct, archive.Reject, archive.Undo}, action) {
		return plainError{http.StatusBadRequest, "The form did not say what to do. Nothing was changed. Go back and use one of its buttons."}
	}
	t := readForm(r, row)
	changes := t.check(row)
	if t.by == "" {
		t.byErr = "say who you are: a decision stands with a name"
	}
	if action == archive.Correct && len(changes) == 0 && len(t.errors) == 0 {
		t.line = "No field was changed, so there is nothing to save."
	}
	if t.byErr != "" || t.line != "" || len(t.errors) > 0 {
		return s.showAgain(w, r, row, t)
	}
	setCookie(w, nameCookie, t.by)
	if err := s.keepDecisions(r, row, action, t, changes); err != nil {
		if errors.Is(err, archive.ErrValue) {
			t.line = "Not saved: " + reason(err) + "."
			return s.showAgain(w, r, row, t)
		}
		return err
	}
	http.Redirect(w, r, leadBack(r, row, action), http.StatusSeeOther)
	return nil
}

// showAgain shows the form with what was typed and what is wrong with it.
func (s *site) showAgain(w http.ResponseWriter, r *http.Request, row archive.Row, t *typed) error {
	if t.line == "" {
		t.line = "Nothing was saved yet: put right what is marked below."
	}
	if r.PostForm.Get("back") == "capture" && row.Capture != "" {
		return s.showCapture(w, r, http.StatusUnprocessableEntity, row.Capture, row.Page, t)
	}
	return s.showRecord(w, r, http.StatusUnprocessableEntity, row, t)
}

func leadBack(r *http.Request, row archive.Row, action string) string {
	if r.PostForm.Get("back") == "capture" && row.Capture != "" {
		return fmt.Sprintf("/captures/%s?page=%d&done=%s#%s", row.Capture, row.Page, action, row.ID)
	}
	return fmt.Sprintf("/records/%s?done=%s", row.ID, action)
}

// change is one field with what was typed for it; "" means that the paper does
// not show it.
type change struct{ field, value string }

// readForm takes what was typed: the fields whose text differs from what the
// page showed.
func readForm(r *http.Request, row archive.Row) *typed {
	t := &typed{record: row.ID, values: map[string]string{}, errors: map[string]string{},
		by: tidy(r.PostForm.Get("by"), longestName), note: tidy(r.PostForm.Get("note"), longestNote)}
	for _, spec := range specsOf(row) {
		name := spec.Name
		v, ok := r.PostForm["v."+name]
		if !ok {
			continue
		}
		now, shown := tidy(v[0], 2*longestValue), tidy(r.PostForm.Get("was."+name), 2*longestValue)
		if now == shown {
			continue
		}
		t.values[name] = now
		// A value that someone else changed since this page was shown is not
		// overwritten in silence.
		if f, _ := fieldOf(row, name); inputValue(spec, f) != shown && inputValue(spec, f) != now {
			t.errors[name] = "someone else changed it meanwhile to " + quoted(valueWords(name, f)) + "; send again if yours is right"
		}
	}
	return t
}

func quoted(s string) string {
	if s == "" {
		return "nothing"
	}
	return "“" + s + "”"
}

// specsOf are the fields that a record's form may carry.
func specsOf(row archive.Row) []record.FieldSpec {
	return slices.Concat(record.Specs(row.Record.Kind), headerSpecs)
}

// check gives the fields that were typed anew; what is wrong with the others
// is noted in t.
func (t *typed) check(row archive.Row) []change {
	var out []change
	for _, spec := range specsOf(row) {
		v, ok := t.values[spec.Name]
		if !ok || t.errors[spec.Name] != "" {
			continue
		}
		was, present := fieldOf(row, spec.Name)
		if v == "" {
			if present {
				out = append(out, change{spec.Name, ""})
			}
			continue
		}
		if utf8.RuneCountInString(v) > longestValue {
			t.errors[spec.Name] = fmt.Sprintf("longer than a printed line: type at most %d characters", longestValue)
			continue
		}
		f, err := archive.ParseValue(spec, v, was.Unit)
		if err != nil {
			t.errors[spec.Name] = reason(err)
			continue
		}
		if !present || f.Value != was.Value || f.Unit != was.Unit {
			out = append(out, change{spec.Name, v})
		}
	}
	return out
}

// reason is the last part of an error about a value: what is wrong, without
// the field's name and value, which stand beside it on the page.
func reason(err error) string {
	for {
		switch e := err.(type) {
		case interface{ Unwrap() []error }:
			list := e.Unwrap()
			if len(list) < 2 {
				return err.Error()
			}
			err = list[len(list)-1]
		case interface{ Unwrap() error }:
			inner := e.Unwrap()
			if inner == nil || inner == archive.ErrValue {
				return err.Error()
			}
			err = inner
		default:
			return err.Error()
		}
	}
}

// keepDecisions notes the corrections and then the action itself.
func (s *site) keepDecisions(r *http.Request, row archive.Row, action string, t *typed, changes []change) error {
	ctx := r.Context()
	d := archive.Decision{Record: row.ID, By: t.by, Note: t.note, At: s.opt.Now()}
	for _, c := range changes {
		ids, err := s.concerned(ctx, r, row, c)
		if err != nil {
			return err
		}
		for _, id := range ids {
			one := d
			one.Record, one.Action, one.Field, one.Value = id, archive.Correct, c.field, c.value
			if err := s.desk.Decide(ctx, one); err != nil {
				return err
			}
		}
	}
	if action == archive.Correct {
		return nil
	}
	d.Action = action
	return s.desk.Decide(ctx, d)
}

// concerned lists the records that a change is about: the record itself and,
// for the slip's header when the person says so, the others of the slip.
func (s *site) concerned(ctx context.Context, r *http.Request, row archive.Row, c change) ([]string, error) {
	ids := []string{row.ID}
	header := slices.ContainsFunc(headerSpecs, func(f record.FieldSpec) bool { return f.Name == c.field })
	if !header || r.PostForm.Get("all") == "" || row.Capture == "" {
		return ids, nil
	}
	rows, err := s.desk.Rows(ctx, archive.Filter{Capture: row.Capture})
	for _, o := range rows {
		if o.ID != row.ID && o.Page == row.Page && o.Slip == row.Slip {
			ids = append(ids, o.ID)
		}
	}
	return ids, err
}
