package record

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"sort"
)

// Origin says where a field's value comes from.
type Origin string

// The origins of a field.
const (
	Printed  Origin = "printed"  // read from the paper
	Repaired Origin = "repaired" // one character put right; Text keeps what was printed
	Entered  Origin = "entered"  // by a person
)

// Field is one value of a record or header.
//
// Value is a string or a float64 in the form that its FieldSpec gives: times
// as 2006-01-02T15:04 (with :05 only where seconds are printed, a date alone as
// 2006-01-02), equipment numbers without leading zeros, codes in lower case.
type Field struct {
	Value      any     `json:"value"`
	Unit       string  `json:"unit,omitempty"` // for quantities only: gal L in mm degF degC gal/h L/h h psi
	Text       string  `json:"text"`           // as read from the paper
	Box        Box     `json:"box,omitzero"`
	Confidence float64 `json:"confidence"` // 0 to 1: among fields given 0.99, 99 in 100 are right
	Sure       bool    `json:"sure"`       // a promise: wrong at most once in 1,000
	Origin     Origin  `json:"origin"`
}

// String returns the value as a string, or "" for a number or no value.
func (f Field) String() string {
	s, _ := f.Value.(string)
	return s
}

// Number returns the value as a number, and whether it is one.
func (f Field) Number() (float64, bool) {
	v, ok := f.Value.(float64)
	return v, ok
}

// Doubt says in plain words why a field of a record is not to be trusted as
// it stands. Field is empty when the doubt is about the whole record.
type Doubt struct {
	Field string `json:"field"`
	Why   string `json:"why"`
}

// Fields are the fields of one record by name; absent means not printed.
type Fields map[string]Field

// Record is one typed result from a slip.
type Record struct {
	Kind   Kind    `json:"kind"`
	Fields Fields  `json:"fields"`
	Doubts []Doubt `json:"doubts"`
	Box    Box     `json:"-"` // the lines it stands on, on the original; derived from the fields when zero
}

// Header is what a slip says about itself; absent fields are nil.
type Header struct {
	Site       *Field `json:"site,omitempty"`
	SiteNumber *Field `json:"site_number,omitempty"`
	Address    *Field `json:"address,omitempty"`
	PrintedAt  *Field `json:"printed_at,omitempty"`
}

// Report is what the grammar made of one slip. An empty slip gives an empty
// report.
type Report struct {
	Header  Header   `json:"header"`
	Records []Record `json:"records"`
}

// Text returns the named field's string value, "" when absent.
func (r Record) Text(name string) string { return r.Fields[name].String() }

// Sure reports whether every field that is present is sure and no doubt
// stands against the record.
func (r Record) Sure() bool {
	for _, f := range r.Fields {
		if !f.Sure {
			return false
		}
	}
	return len(r.Doubts) == 0
}

// Area is the part of the picture that the record stands on; of a record that
// goes on on another picture, the part on the picture where it begins.
func (r Record) Area() Box {
	if !r.Box.IsZero() {
		return r.Box
	}
	var b Box
	for _, f := range r.Fields {
		b = b.Union(f.Box)
	}
	return b
}

// Areas are the parts of each picture that the record stands on, from its top
// to its bottom; none when it stands on none.
func (r Record) Areas() []Box {
	on := map[int]Box{}
	if !r.Box.IsZero() {
		on[r.Box.Part] = r.Box
	}
	for _, f := range r.Fields {
		if b := f.Box; !b.IsZero() && (b.Part != r.Box.Part || r.Box.IsZero()) {
			on[b.Part] = on[b.Part].Union(b)
		}
	}
	var out []Box
	for _, part := range slices.Sorted(maps.Keys(on)) {
		out = append(out, on[part])
	}
	return out
}

// At is the time the record speaks of, and the field it was taken from: the
// end of a test or delivery before its start, then the record's own time, else
// the time the slip was printed. It is empty when none is known.
func (r Record) At(h Header) (at, field string) {
	for _, name := range timeOrder[r.Kind] {
		if s := r.Text(name); s != "" {
			return s, name
		}
	}
	if h.PrintedAt != nil && h.PrintedAt.String() != "" {
		return h.PrintedAt.String(), "printed_at"
	}
	return "", ""
}

// Equipment names what the record is about in plain words, such as "tank 2",
// "line 1" or "sensor 7"; it is empty when the number is not known.
func (r Record) Equipment() string {
	for _, name := range []string{"tank", "line", "sensor"} {
		if s := r.Text(name); s != "" {
			return name + " " + s
		}
	}
	if d := r.Text("device"); d != "" {
		if n := r.Text("device_number"); n != "" {
			return d + " " + n
		}
		return d
	}
	return ""
}

// MarshalJSON writes the fields in the order of the kind's table, unknown
// names last in alphabetical order.
func (r Record) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteString(`{"kind":`)
	if err := appendJSON(&b, r.Kind); err != nil {
		return nil, err
	}
	b.WriteString(`,"fields":{`)
	for i, name := range r.FieldNames() {
		if i > 0 {
			b.WriteByte(',')
		}
		if err := appendJSON(&b, name); err != nil {
			return nil, err
		}
		b.WriteByte(':')
		if err := appendJSON(&b, r.Fields[name]); err != nil {
			return nil, err
		}
	}
	b.WriteString(`},"doubts":`)
	doubts := r.Doubts
	if doubts == nil {
		doubts = []Doubt{}
	}
	if err := appendJSON(&b, doubts); err != nil {
		return nil, err
	}
	if a := r.Area(); !a.IsZero() {
		b.WriteString(`,"box":`)
		if err := appendJSON(&b, a); err != nil {
			return nil, err
		}
		if a.Part > 0 {
			fmt.Fprintf(&b, `,"part":%d`, a.Part)
		}
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

func appendJSON(b *bytes.Buffer, v any) error {
	raw, err := json.Marshal(v)
	if err != nil {
		return err
	}
	b.Write(raw)
	return nil
}

// FieldNames lists the fields that are present, in the order of the kind's
// table.
func (r Record) FieldNames() []string {
	specs := Specs(r.Kind)
	out := make([]string, 0, len(r.Fields))
	for _, s := range specs {
		if _, ok := r.Fields[s.Name]; ok {
			out = append(out, s.Name)
		}
	}
	if len(out) == len(r.Fields) {
		return out
	}
	var rest []string
	for name := range r.Fields {
		if !slices.ContainsFunc(specs, func(s FieldSpec) bool { return s.Name == name }) {
			rest = append(rest, name)
		}
	}
	sort.Strings(rest)
	return append(out, rest...)
}
