package archive

import (
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"tankroll/record"
)

// maxLabel bounds a text that a person types: no printed line is longer.
const maxLabel = 200

var (
	identForm  = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9-]{0,11}$`)
	numberForm = regexp.MustCompile(`^([+-]?(?:[0-9]{1,3}(?:,[0-9]{3})+|[0-9]+)?(?:\.[0-9]+)?)\s*(\S*)$`)
)

// headerSpecs are the fields of a slip's header, which a person may put right
// on a record like its own.
func headerSpecs() []record.FieldSpec {
	return []record.FieldSpec{
		{Name: "site", Type: record.Label},
		{Name: "site_number", Type: record.Ident},
		{Name: "address", Type: record.Label},
		{Name: "printed_at", Type: record.Time},
	}
}

// specOf finds the specification of a record's or its header's field.
func specOf(k record.Kind, field string) (spec record.FieldSpec, header bool, err error) {
	if spec, ok := record.Spec(k, field); ok {
		return spec, false, nil
	}
	for _, spec := range headerSpecs() {
		if spec.Name == field {
			return spec, true, nil
		}
	}
	return record.FieldSpec{}, false, fmt.Errorf("%w: a %s has no field %q", ErrValue, k, field)
}

// ParseValue makes a field from a value that a person typed: a string, or a
// number for a quantity. A unit may follow a number ("22,712 L"); without one
// it is unit, or when that is empty the first of record.Quantity.Units, the US
// unit. The field's origin is entered.
func ParseValue(spec record.FieldSpec, v any, unit string) (record.Field, error) {
	f := record.Field{Confidence: 1, Sure: true, Origin: record.Entered}
	switch v := v.(type) {
	case string:
		f.Text = strings.TrimSpace(v)
	case float64:
		f.Text = strconv.FormatFloat(v, 'g', -1, 64)
	case int:
		f.Text = strconv.Itoa(v)
	case json.Number:
		f.Text = v.String()
	default:
		return f, fmt.Errorf("%w: %s must be a text or a number", ErrValue, spec.Name)
	}
	var err error
	if spec.Type == record.Number {
		f.Value, f.Unit, err = parseNumber(spec, v, f.Text, unit)
	} else {
		f.Value, err = parseText(spec, f.Text)
	}
	if err != nil {
		return record.Field{}, fmt.Errorf("%w: %s %q: %w", ErrValue, spec.Name, f.Text, err)
	}
	return f, nil
}

func parseText(spec record.FieldSpec, text string) (string, error) {
	switch spec.Type {
	case record.Ident:
		if !identForm.MatchString(text) {
			return "", fmt.Errorf("an equipment number has up to 12 letters and digits")
		}
		t := strings.TrimLeft(text, "0")
		if t == "" || t[0] == '-' { // of "00" and "0-3" one zero stays
			t = "0" + t
		}
		return t, nil
	case record.Code:
		if code := strings.ToLower(text); slices.Contains(spec.Codes, code) {
			return code, nil
		}
		return "", fmt.Errorf("must be one of %s", strings.Join(spec.Codes, ", "))
	case record.Time:
		return parseTime(text)
	}
	if text == "" || len(text) > maxLabel || strings.ContainsFunc(text, unicode.IsControl) {
		return "", fmt.Errorf("must be one line of at most %d bytes", maxLabel)
	}
	return text, nil
}

// timeForms are the ways in which a time is written, most exact first.
var timeForms = []string{"2006-01-02T15:04:05", "2006-01-02T15:04", "2006-01-02"}

func parseTime(text string) (string, error) {
	t := strings.Replace(text, " ", "T", 1)
	for _, form := range timeForms {
		if _, err := time.Parse(form, t); err == nil && len(t) == len(form) {
			return t, nil
		}
	}
	return "", fmt.Errorf("must be a date like 2025-03-14 or a time like 2025-03-14T06:41")
}

func parseNumber(spec record.FieldSpec, v any, text, unit string) (float64, string, error) {
	n, exact := v.(float64)
	if !exact {
		m := numberForm.FindStringSubmatch(text)
		if m == nil {
			return 0, "", fmt.Errorf("must be a number")
		}
		var err error
		if n, err = strconv.ParseFloat(strings.ReplaceAll(m[1], ",", ""), 64); err != nil {
			return 0, "", fmt.Errorf("must be a number")
		}
		if m[2] != "" {
			unit = m[2]
		}
	}
	if math.IsNaN(n) || math.IsInf(n, 0) || math.Abs(n) > 1e9 {
		return 0, "", fmt.Errorf("is out of range")
	}
	units := spec.Quantity.Units()
	if unit == "" && len(units) > 0 {
		unit = units[0]
	}
	if unit == "%" && len(units) == 0 {
		unit = ""
	}
	if unit == "" && len(units) == 0 {
		return n, "", nil
	}
	for _, u := range units {
		if strings.EqualFold(u, unit) {
			return n, u, nil
		}
	}
	if len(units) == 0 {
		return 0, "", fmt.Errorf("has no unit, but %q was given", unit)
	}
	return 0, "", fmt.Errorf("unit %q must be one of %s", unit, strings.Join(units, ", "))
}
