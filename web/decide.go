package web

import (
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"unicode/utf8"

	"tankroll/archive"
	"tankroll/record"
)

const (
	longestValue = 200 // no roll prints a longer line
	longestNote  = 1000
	longestName  = 60
)

// wish is what a form asks for: an action, and the record it is about; ""
// is every record of the form.
type wish struct{ action, record string }

// decideSlip takes what a person decided about the records of a slip.
func (s *site) decideSlip(w http.ResponseWriter, r *http.Request) error {
	c, err := s.findCapture(r.Context(), r.PathValue("capture"))
	if err != nil {
		return err
	}
	page, err := pathNumber(r, "page", 1)
	if err != nil {
		return err
	}
	slip, err := pathNumber(r, "slip", 0)
	if err != nil {
		return err
	}
	all, err := s.desk.Rows(r.Context(), archive.Filter{Capture: c.ID, Rejected: true})
	if err != nil {
		return err
	}
	rows := slices.DeleteFunc(all, func(o archive.Row) bool { return o.Page != page || o.Slip != slip })
	if len(rows) == 0 {
		return archive.ErrNotFound
	}
	again := func(t *typed) error {
		t.slip = slip
		return s.showCapture(w, r, http.StatusUnprocessableEntity, c.ID, page, t)
	}
	return s.decide(w, r, rows, again, func(q wish) string {
		at := fmt.Sprintf("slip%d", slip+1)
		if q.record != "" {
			at = q.record
		}
		return fmt.Sprintf("/captures/%s?page=%d&done=%s#%s", c.ID, page, q.action, at)
	})
}

// decideRecord takes what a person decided about one record on its own page.
func (s *site) decideRecord(w http.ResponseWriter, r *http.Request) error {
	row, err := s.findRecord(r.Context(), r.PathValue("record"))
	if err != nil {
		return err
	}
	again := func(t *typed) error { return s.showRecord(w, r, http.StatusUnprocessableEntity, row, t) }
	return s.decide(w, r, []archive.Row{row}, again, func(q wish) string {
		return "/records/" + row.ID + "?done=" + q.action
	})
}

// decide checks a form about some records and keeps what it says; a form that
// cannot be kept as it stands is shown again, and nothing of it is kept.
// Corrections typed beside another action are kept too: nothing typed is
// dropped.
func (s *site) decide(w http.ResponseWriter, r *http.Request, rows []archive.Row, again func(*typed) error, back func(wish) string) error {
	if err := parseForm(w, r); err != nil {
		return err
	}
	q, err := readWish(r, rows)
	if err != nil {
		return err
	}
	t := readForm(r, rows)
	changes := t.check(rows)
	if t.by == "" {
		t.byErr = "say who you are: a decision stands with a name"
	}
	switch {
	case len(t.errors) > 0 || t.byErr != "":
		t.line = "Nothing was saved yet: put right what is marked below."
	case q.action == archive.Correct && len(changes) == 0:
		t.line = "No field was changed, so there is nothing to save."
	}
	if t.line != "" {
		return again(t)
	}
	setCookie(w, nameCookie, t.by)
	if err := s.keepDecisions(r, rows, q, t, changes); err != nil {
		if errors.Is(err, archive.ErrValue) {
			t.line = "Not saved: " + reason(err) + "."
			return again(t)
		}
		return err
	}
	http.Redirect(w, r, back(q), http.StatusSeeOther)
	return nil
}

// readWish reads which button was used: "confirm", or "reject r87".
func readWish(r *http.Request, rows []archive.Row) (wish, error) {
	action, id, _ := strings.Cut(r.PostForm.Get("action"), " ")
	known := slices.ContainsFunc(rows, func(row archive.Row) bool { return row.ID == id })
	switch {
	case id == "" && (action == archive.Correct || action == archive.Confirm):
		return wish{action, ""}, nil
	case known && (action == archive.Confirm || action == archive.Reject || action == archive.Undo):
		return wish{action, id}, nil
	}
	return wish{}, errNoWish
}

var errNoWish = plainError{http.StatusBadRequest, "The form did not say what to do. Nothing was changed. Go back and use one of its buttons."}

// parseForm reads a form without files.
func parseForm(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, maxForm)
	err := r.ParseForm()
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		return plainError{http.StatusRequestEntityTooLarge, "The form is larger than any slip. Nothing was changed."}
	case err != nil:
		return plainError{http.StatusBadRequest, "The form did not arrive whole. Nothing was changed. Go back and send it again."}
	}
	return nil
}

// typed is what a person sent; the page shows it again, with what is wrong,
// when it cannot be taken as it stands. Values are by the fields' keys.
type typed struct {
	slip   int // from 0
	values map[string]string
	errors map[string]string
	by     string
	note   string
	byErr  string
	line   string // about the whole form
	pair   bool   // it is about how two records stand to each other
}

// change is one field with what was typed for it; "" means that the paper does
// not show it.
type change struct{ record, field, value string }

// entry is one field that a form may carry.
type entry struct {
	key  string
	spec record.FieldSpec
	rows []archive.Row // the records that it is about
}

// entries lists the fields that a form about some records may carry: the
// slip's header once, and each record's own.
func entries(rows []archive.Row) []entry {
	var out []entry
	lead := headerRow(rows)
	about := append([]archive.Row{rows[lead]}, slices.Concat(rows[:lead], rows[lead+1:])...)
	for _, spec := range headerSpecs {
		out = append(out, entry{"h." + spec.Name, spec, about})
	}
	for _, row := range rows {
		for _, spec := range record.Specs(row.Record.Kind) {
			out = append(out, entry{row.ID + "." + spec.Name, spec, []archive.Row{row}})
		}
	}
	return out
}

// readForm takes what was typed: the fields whose text differs from what the
// page showed.
func readForm(r *http.Request, rows []archive.Row) *typed {
	t := &typed{values: map[string]string{}, errors: map[string]string{},
		by: tidy(r.PostForm.Get("by"), longestName), note: tidy(r.PostForm.Get("note"), longestNote)}
	for _, e := range entries(rows) {
		v, ok := r.PostForm["v."+e.key]
		if !ok {
			continue
		}
		now, shown := tidy(v[0], 2*longestValue), tidy(r.PostForm.Get("was."+e.key), 2*longestValue)
		if now == shown {
			continue
		}
		t.values[e.key] = now
		// A value that someone else changed since this page was shown is not
		// overwritten in silence.
		f, _ := fieldOf(e.rows[0], e.spec.Name)
		if stands := inputValue(e.spec, f); stands != shown && stands != now {
			t.errors[e.key] = "someone else changed it meanwhile to " + quoted(valueWords(e.spec.Name, f)) + "; send again if yours is right"
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

// check gives the fields that were typed anew; what is wrong with the others
// is noted in t.
func (t *typed) check(rows []archive.Row) []change {
	var out []change
	for _, e := range entries(rows) {
		v, ok := t.values[e.key]
		if !ok || t.errors[e.key] != "" {
			continue
		}
		if utf8.RuneCountInString(v) > longestValue {
			t.errors[e.key] = fmt.Sprintf("longer than a printed line: type at most %d characters", longestValue)
			continue
		}
		for _, row := range e.rows {
			differs, err := differs(row, e.spec, v)
			if err != nil {
				t.errors[e.key] = reason(err)
				break
			}
			if differs {
				out = append(out, change{row.ID, e.spec.Name, v})
			}
		}
	}
	return out
}

// differs reports whether a typed value changes a field.
func differs(row archive.Row, spec record.FieldSpec, v string) (bool, error) {
	was, present := fieldOf(row, spec.Name)
	if v == "" {
		return present, nil
	}
	f, err := archive.ParseValue(spec, v, was.Unit)
	if err != nil {
		return false, err
	}
	return !present || f.Value != was.Value || f.Unit != was.Unit, nil
}

// reason is the last part of an error about a value: what is wrong, without
// the field's name and value, which stand beside it on the page.
func reason(err error) string {
	for {
		var inner error
		switch e := err.(type) {
		case interface{ Unwrap() []error }:
			if list := e.Unwrap(); len(list) > 1 {
				inner = list[len(list)-1]
			}
		case interface{ Unwrap() error }:
			inner = e.Unwrap()
		}
		if inner == nil || inner == archive.ErrValue {
			return err.Error()
		}
		err = inner
	}
}

// keepDecisions notes the corrections and then the action itself.
func (s *site) keepDecisions(r *http.Request, rows []archive.Row, q wish, t *typed, changes []change) error {
	d := archive.Decision{By: t.by, Note: t.note, At: s.opt.Now()}
	touched := map[string]bool{}
	for _, c := range changes {
		one := d
		one.Record, one.Action, one.Field, one.Value = c.record, archive.Correct, c.field, c.value
		if err := s.desk.Decide(r.Context(), one); err != nil {
			return err
		}
		touched[c.record] = true
	}
	if q.action == archive.Correct {
		return nil
	}
	for _, row := range rows {
		one := d
		one.Record, one.Action = row.ID, q.action
		wanted := row.ID == q.record
		if q.record == "" { // all that still wait
			wanted = !row.Rejected && (!row.Confirmed || touched[row.ID])
		}
		if !wanted {
			continue
		}
		if err := s.desk.Decide(r.Context(), one); err != nil {
			return err
		}
	}
	return nil
}
