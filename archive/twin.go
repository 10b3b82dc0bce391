package archive

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"

	"tankroll/record"
)

// Records of two printouts are one without asking when everything that tells
// events apart was read surely and is equal on both: site, kind, equipment, every
// time, class, result, state, event; and no value that both are sure of differs.
// An event is told apart by the minute, so that a date alone does not do, nor
// does an alarm of a device whose number is not printed.

// identity reports whether a field tells events of one kind apart.
func identity(spec record.FieldSpec) bool {
	switch spec.Name {
	case "grade", "method":
		return false // what a tank holds, and how it is tested, is the same each time
	case "event":
		return true
	}
	return spec.Type == record.Time || spec.Type == record.Ident || spec.Type == record.Code
}

// twinKey is equal for records that may be one without asking, and "" for one
// that may not.
func twinKey(f folded, hint string, byHand, unseen bool) string {
	site, _, sure := siteOf(hint, f.header)
	at, field := f.record.At(f.header)
	r := f.record
	if byHand || unseen || f.rejected || !sure || site == "" || len(at) < len("2006-01-02T15:04") || !equipped(r) {
		return ""
	}
	if field == "printed_at" && !f.header.PrintedAt.Sure {
		return ""
	}
	parts := []any{r.Kind, site, at}
	for _, spec := range record.Specs(r.Kind) {
		if !identity(spec) {
			continue
		}
		v, ok := r.Fields[spec.Name]
		if ok && !v.Sure {
			return ""
		}
		parts = append(parts, v.Value) // nil when it is not printed
	}
	for _, d := range r.Doubts {
		if spec, ok := record.Spec(r.Kind, d.Field); d.Field == "" || ok && identity(spec) {
			return ""
		}
	}
	raw, err := json.Marshal(parts)
	if err != nil {
		panic("internal error: twin: " + err.Error()) // strings and numbers always marshal
	}
	sum := sha256.Sum256(raw)
	return hex.EncodeToString(sum[:12])
}

// equipped reports whether a record says exactly what it is about.
func equipped(r record.Record) bool {
	if r.Kind == record.Alarm {
		return r.Text("device") == "system" || r.Text("device") != "" && r.Text("device_number") != ""
	}
	return r.Equipment() != ""
}

// clash lists the fields of which both are sure and that differ.
func clash(a, b record.Record) []string {
	var out []string
	for _, name := range namesOf(a, b) {
		x, y := fieldIn(a.Fields, name), fieldIn(b.Fields, name)
		if x != nil && y != nil && x.Sure && y.Sure && !sameValue(*x, *y) {
			out = append(out, name)
		}
	}
	return out
}
