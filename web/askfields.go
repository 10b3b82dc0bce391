package web

import (
	"encoding/json"
	"net/url"

	"tankroll/index/query"
	"tankroll/record"
)

// fieldsForm shows what was understood as fields that can be edited.
type fieldsForm struct {
	All    string // the whole query, for what has no field of its own
	Fields []formField
}

type formField struct {
	Name, Label, Value string
	Choices            []choice // none: typed
	Date               bool
}

type choice struct{ Value, Say string }

func newFieldsForm(q query.Query) (fieldsForm, error) {
	q.Assumed, q.NotUnderstood, q.Readings = nil, nil, nil
	raw, err := json.Marshal(q)
	if err != nil {
		return fieldsForm{}, err
	}
	kinds := []choice{{"", "any"}}
	for _, k := range record.Kinds() {
		kinds = append(kinds, choice{string(k), query.Query{Kind: k, Limit: 1, Order: query.Latest}.Noun()})
	}
	codes := func(kind record.Kind, field string) []choice {
		out := []choice{{"", "any"}}
		spec, _ := record.Spec(kind, field)
		for _, c := range spec.Codes {
			out = append(out, choice{c, c})
		}
		return out
	}
	return fieldsForm{string(raw), []formField{
		{Name: "kind", Label: "Kind", Value: string(q.Kind), Choices: kinds},
		{Name: "test_class", Label: "Test, gal/h", Value: q.TestClass, Choices: codes(record.TankTest, "test_class")},
		{Name: "result", Label: "Result", Value: q.Result, Choices: append(codes(record.TankTest, "result"), choice{query.NotPass, query.NotPass})},
		{Name: "grade", Label: "Product", Value: q.Grade, Choices: codes(record.TankTest, "grade")},
		{Name: "tank", Label: "Tank", Value: q.Tank}, {Name: "line", Label: "Line", Value: q.Line}, {Name: "site", Label: "Site", Value: q.Site},
		{Name: "from", Label: "From", Value: q.From, Date: true}, {Name: "to", Label: "To", Value: q.To, Date: true},
	}}, nil
}

// Kept reports that a value is none of the choices, such as several values: it is
// offered too, so that it is not lost.
func (f formField) Kept() bool {
	for _, c := range f.Choices {
		if c.Value == f.Value {
			return false
		}
	}
	return true
}

// editedQuestion puts edited fields into a query and gives the question that
// means it; ok is false when the form is not one that was sent out.
func editedQuestion(v url.Values) (question string, ok bool) {
	var q query.Query
	if json.Unmarshal([]byte(v.Get("all")), &q) != nil {
		return "", false
	}
	text := func(name string) string { return tidy(v.Get(name), 60) }
	site, kind := q.Site, q.Kind
	q.Kind, q.TestClass, q.Result, q.Grade = record.Kind(text("kind")), text("test_class"), text("result"), text("grade")
	q.Tank, q.Line, q.Site, q.From, q.To = text("tank"), text("line"), text("site"), text("from"), text("to")
	if q.Kind != "" {
		q.AnyTest = false
	}
	if q.Kind != kind { // what an alarm's state and device are no test has
		q.State, q.Device, q.OrKind, q.NotWords = "", "", "", nil
		if q.Kind == record.Alarm {
			q.State = "raised"
		}
	}
	if q.Site != site {
		q.SiteName = ""
	}
	return q.String(), true
}
