package web

import (
	"net/http"
	"slices"
	"strconv"
	"strings"

	"tankroll/archive"
	"tankroll/record"
)

// formView is one form: the records of a slip, or one record on its own page.
// All of a slip's records stand in one form, so that nothing typed into one is
// lost by deciding about another.
type formView struct {
	Action  string // where it is sent
	Header  []fieldView
	Records []*recordView
	By      string
	ByError string
	Note    string
	Error   string // about the whole form
	Open    int    // records that wait for a decision
	Alone   bool   // one record on its own page
	Failed  bool   // some test failed
}

// recordView is one record of a form.
type recordView struct {
	ID        string
	Heading   string // Tank leak test, tank 2
	Gist      string
	When      string
	Doubtful  bool // wants a person's look
	Confirmed bool
	Rejected  bool
	ByHand    bool
	Fields    []fieldView
	Missing   []fieldView // fields of the kind that were not read
	Doubts    []string    // about the whole record
	Decided   bool        // something was decided that can be taken back
	Shut      bool        // shown by its first line only
}

// fieldView is one field as an entry of the form.
type fieldView struct {
	ID       string // r87-leak_rate, for labels and frames
	Key      string // r87.leak_rate: what its inputs are called
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
	Wide     bool // longer than half a phone's width
	Long     bool // longer than a third of a desk's form
	box      record.Box
}

type option struct {
	Value, Words string
	Chosen       bool
}

// shutFrom is how many records of one slip are shown in full although nothing
// is doubtful about them.
const shutFrom = 3

// newForm lays out the records of a slip, or one record. What the person typed
// stands in for the values, so that nothing typed is lost when one of them is
// wrong.
func newForm(r *http.Request, action string, rows []archive.Row, t *typed) *formView {
	f := &formView{Action: action, By: cookie(r, nameCookie), Alone: len(rows) == 1}
	if t != nil && !t.pair {
		f.By, f.ByError, f.Note, f.Error = t.by, t.byErr, t.note, t.line
	}
	for _, row := range rows {
		v := newRecordView(row, t)
		v.Shut = row.Rejected || len(rows) >= shutFrom && !v.Doubtful && !changed(v.Fields) && !changed(v.Missing)
		if !row.Rejected && !row.Confirmed {
			f.Open++
		}
		f.Failed = f.Failed || failed(row)
		f.Records = append(f.Records, v)
	}
	if len(rows) > 0 {
		f.Header = newHeader(rows[headerRow(rows)], t)
	}
	return f
}

// headerRow chooses the record whose header stands for the slip: one that
// still counts.
func headerRow(rows []archive.Row) int {
	return max(0, slices.IndexFunc(rows, func(r archive.Row) bool { return !r.Rejected }))
}

func newHeader(row archive.Row, t *typed) []fieldView {
	why := map[string][]string{}
	for _, d := range row.Record.Doubts {
		why[d.Field] = append(why[d.Field], d.Why)
	}
	var out []fieldView
	for _, spec := range headerSpecs {
		out = append(out, newFieldView(row, "h", spec, why[spec.Name], t))
	}
	return out
}

func newRecordView(row archive.Row, t *typed) *recordView {
	rec := row.Record
	v := &recordView{
		ID: row.ID, Heading: heading(rec), Gist: gist(rec), When: when(row.At),
		Doubtful: !row.Sure() && !row.Rejected, Confirmed: row.Confirmed, Rejected: row.Rejected, ByHand: row.ByHand,
		Decided: row.Confirmed || row.Rejected,
	}
	why := v.sortDoubts(row)
	for _, name := range rec.FieldNames() {
		spec, _ := record.Spec(rec.Kind, name)
		spec.Name = name // also of a field that this kind does not know
		v.Fields = append(v.Fields, newFieldView(row, row.ID, spec, why[name], t))
	}
	for _, spec := range record.Specs(rec.Kind) {
		if _, ok := rec.Fields[spec.Name]; !ok {
			v.Missing = append(v.Missing, newFieldView(row, row.ID, spec, nil, t))
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

// headerSpecs are the fields of a slip's header that people put right.
var headerSpecs = []record.FieldSpec{
	{Name: "site_number", Type: record.Ident},
	{Name: "site", Type: record.Label},
	{Name: "printed_at", Type: record.Time},
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

// changed reports whether something was typed into a list of fields.
func changed(list []fieldView) bool {
	return slices.ContainsFunc(list, func(f fieldView) bool { return f.Error != "" || f.Value != f.Was })
}

// MissingOpen reports whether the fields that were not read must be shown.
func (v *recordView) MissingOpen() bool { return changed(v.Missing) }

// heading names a record: its kind and what it is about.
func heading(r record.Record) string {
	if e := r.Equipment(); e != "" {
		return kindWords(r.Kind) + ", " + e
	}
	return kindWords(r.Kind)
}

func newFieldView(row archive.Row, owner string, spec record.FieldSpec, why []string, t *typed) fieldView {
	name := spec.Name
	f, present := fieldOf(row, name)
	value := inputValue(spec, f)
	v := fieldView{
		ID: row.ID + "-" + name, Key: owner + "." + name, Label: fieldWords(name), Value: value, Was: value,
		Shown: valueWords(name, f), Unit: unitWords(f.Unit), Printed: f.Text, box: f.Box,
		Doubtful: present && (!f.Sure || len(why) > 0) && !row.Rejected, Why: why,
	}
	if v.Doubtful && len(why) == 0 {
		v.Why = []string{chance(f.Confidence)}
	}
	switch f.Origin {
	case record.Repaired:
		v.Origin = "one character put right: the slip's own numbers leave no other reading"
	case record.Entered:
		v.Origin = "entered by a person"
		if f.Box.IsZero() {
			v.Printed = "" // what the person typed, not what the paper says
		}
	}
	if !f.Box.IsZero() && row.Capture != "" {
		v.Cut = "/records/" + row.ID + "/fields/" + name + ".jpg"
	}
	if t != nil {
		if typed, ok := t.values[v.Key]; ok {
			v.Value = typed
		}
		v.Error = t.errors[v.Key]
	}
	v.setInput(spec)
	v.Wide = spec.Type == record.Time || len(v.Value) > 14
	v.Long = spec.Type == record.Label && len(v.Value) > 18
	return v
}

// failed reports whether a row is a test that failed.
func failed(row archive.Row) bool { return row.Record.Text("result") == "fail" && !row.Rejected }

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
