package web

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"tankroll/archive"
	"tankroll/record"
)

// recordView is one record as a form.
type recordView struct {
	Row      archive.Row
	ID       string
	Heading  string // Tank leak test, tank 2
	Gist     string
	Site     string
	When     string
	Doubtful bool // wants a person's look
	Failed   bool // its result is a fail
	Fields   []fieldView
	Header   []fieldView // of its slip: site and time of printing
	Missing  []fieldView // fields of the kind that were not read
	Doubts   []string    // about the whole record
	Picture  bool
	By       string
	ByError  string
	Note     string
	Error    string // about the whole form
	Back     string // where the form leads back to: capture or record
	Siblings int    // other records of the same slip
	Decided  bool   // something was decided that can be taken back
}

// fieldView is one field as a line of the form.
type fieldView struct {
	ID       string // r87-leak_rate, for labels and frames
	Name     string
	Label    string
	Value    string // in the input
	Was      string // what the page showed, to tell what was typed anew
	Shown    string // for people
	Unit     string
	Printed  string
	Doubtful bool
	Why      []string
	Origin   string
	Options  []option // for codes
	Mode     string   // inputmode
	Hint     string
	Cut      string // address of its picture, "" when it has no place
	Error    string
	box      record.Box
}

type option struct {
	Value, Words string
	Chosen       bool
}

// typed is what a person sent that could not be taken as it stands; the page
// shows it again with what is wrong.
type typed struct {
	record string
	values map[string]string
	errors map[string]string
	by     string
	note   string
	byErr  string
	line   string
}

// recordView lays out a record. What the person typed stands in for the
// values, so that nothing typed is lost when one of them is wrong.
func (s *site) recordView(r *http.Request, row archive.Row, t *typed) *recordView {
	rec := row.Record
	v := &recordView{
		Row: row, ID: row.ID, Heading: heading(rec), Gist: gist(rec),
		Site: siteWords(row.Site, row.SiteName), When: when(row.At),
		Doubtful: !row.Sure() && !row.Rejected,
		Failed:   rec.Text("result") == "fail" && !row.Rejected,
		Picture:  !rec.Area().IsZero() && row.Capture != "", By: cookie(r, nameCookie), Back: "record",
		Decided: row.Confirmed || row.Rejected,
	}
	if t != nil && t.record != row.ID {
		t = nil
	}
	if t != nil {
		v.By, v.ByError, v.Note, v.Error = t.by, t.byErr, t.note, t.line
	}
	why := v.sortDoubts(row)
	for _, name := range rec.FieldNames() {
		v.Fields = append(v.Fields, newFieldView(row, name, why[name], t))
	}
	for _, spec := range headerSpecs {
		v.Header = append(v.Header, newFieldView(row, spec.Name, why[spec.Name], t))
	}
	for _, spec := range record.Specs(rec.Kind) {
		if _, ok := rec.Fields[spec.Name]; !ok {
			v.Missing = append(v.Missing, newFieldView(row, spec.Name, nil, t))
		}
	}
	return v
}

// sortDoubts gives the doubts by field; those about no field that is shown are
// about the record.
func (v *recordView) sortDoubts(row archive.Row) map[string][]string {
	why := map[string][]string{}
	for _, d := range row.Record.Doubts {
		_, ok := fieldOf(row, d.Field)
		switch {
		case ok:
			why[d.Field] = append(why[d.Field], d.Why)
		case d.Field != "":
			v.Doubts = append(v.Doubts, fieldWords(d.Field)+": "+d.Why)
		default:
			v.Doubts = append(v.Doubts, d.Why)
		}
	}
	return why
}

// headerSpecs are the fields of a slip's header that people put right; the
// record's own form carries them, since a decision is about a record.
var headerSpecs = []record.FieldSpec{
	{Name: "site_number", Type: record.Ident},
	{Name: "site", Type: record.Label},
	{Name: "printed_at", Type: record.Time},
}

// specOf finds the specification of a record's or its header's field.
func specOf(k record.Kind, name string) (record.FieldSpec, bool) {
	for _, s := range headerSpecs {
		if s.Name == name {
			return s, true
		}
	}
	return record.Spec(k, name)
}

// fieldOf finds a field of a record or of its header.
func fieldOf(row archive.Row, name string) (record.Field, bool) {
	var f *record.Field
	switch name {
	case "site_number":
		f = row.Header.SiteNumber
	case "site":
		f = row.Header.Site
	case "printed_at":
		f = row.Header.PrintedAt
	default:
		f, ok := row.Record.Fields[name]
		return f, ok
	}
	if f == nil {
		return record.Field{}, false
	}
	return *f, true
}

// open reports whether a part of the form must stand open: something in it is
// doubtful, or wrong, or was typed.
func open(list []fieldView) bool {
	for _, f := range list {
		if f.Doubtful || f.Error != "" || f.Value != f.Was {
			return true
		}
	}
	return false
}

// MissingOpen reports whether the fields that were not read must be shown.
func (v *recordView) MissingOpen() bool { return open(v.Missing) }

// HeaderOpen reports whether the slip's header must be shown.
func (v *recordView) HeaderOpen() bool { return open(v.Header) }

// heading names a record: its kind and what it is about.
func heading(r record.Record) string {
	if e := r.Equipment(); e != "" {
		return kindWords(r.Kind) + ", " + e
	}
	return kindWords(r.Kind)
}

func newFieldView(row archive.Row, name string, why []string, t *typed) fieldView {
	f, present := fieldOf(row, name)
	spec, _ := specOf(row.Record.Kind, name)
	value := inputValue(spec, f)
	v := fieldView{
		ID: row.ID + "-" + name, Name: name, Label: fieldWords(name), Value: value, Was: value,
		Shown: valueWords(name, f), Unit: unitWords(f.Unit), Printed: f.Text, box: f.Box,
		Doubtful: present && (!f.Sure || len(why) > 0) && !row.Rejected, Why: why,
	}
	if v.Doubtful && len(why) == 0 {
		v.Why = []string{"hard to read: " + chance(f.Confidence)}
	}
	switch f.Origin {
	case record.Repaired:
		v.Origin = "one character put right: the slip's own numbers leave no other reading"
	case record.Entered:
		v.Origin = "entered by a person"
	}
	if !f.Box.IsZero() && row.Capture != "" {
		v.Cut = fmt.Sprintf("/records/%s/fields/%s.jpg", row.ID, name)
	}
	if t != nil {
		if typed, ok := t.values[name]; ok {
			v.Value = typed
		}
		v.Error = t.errors[name]
	}
	v.setInput(spec)
	return v
}

// setInput says how a field is typed.
func (v *fieldView) setInput(spec record.FieldSpec) {
	switch spec.Type {
	case record.Code:
		v.Options = []option{{Value: "", Words: "not on the paper"}}
		for _, c := range spec.Codes {
			v.Options = append(v.Options, option{Value: c, Words: codeWords(spec.Name, c)})
		}
		for i := range v.Options {
			v.Options[i].Chosen = v.Options[i].Value == v.Value
		}
	case record.Number:
		v.Mode = "decimal"
	case record.Time:
		v.Hint = "year-month-day hour:minute"
	}
}

// inputValue is a value as it is typed.
func inputValue(spec record.FieldSpec, f record.Field) string {
	if n, ok := f.Number(); ok {
		return strconv.FormatFloat(n, 'f', -1, 64)
	}
	if spec.Type == record.Time {
		return strings.Replace(f.String(), "T", " ", 1)
	}
	return f.String()
}
