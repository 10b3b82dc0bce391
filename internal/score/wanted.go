package score

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"strings"

	"tankroll/record"
)

// Wanted is what somebody says a printout holds: plain values, no units.
type Wanted struct {
	Report record.Report
	Either [][]string // of each record: fields that may be read or not
}

// wantLine is one line of a file of wanted values: the header, or a record.
type wantLine struct {
	Header map[string]any `json:"header"`
	Kind   record.Kind    `json:"kind"`
	Fields map[string]any `json:"fields"`
	Either []string       `json:"either"`
}

// ReadWanted reads a file of wanted values, a JSON object a line.
func ReadWanted(path string) (Wanted, error) {
	f, err := os.Open(path)
	if err != nil {
		return Wanted{}, err
	}
	defer f.Close()
	var out Wanted
	lines := bufio.NewScanner(f)
	for lines.Scan() {
		if strings.TrimSpace(lines.Text()) == "" {
			continue
		}
		var l wantLine
		if err := json.Unmarshal(lines.Bytes(), &l); err != nil {
			return Wanted{}, fmt.Errorf("%s: %w", path, err)
		}
		if err := out.add(l); err != nil {
			return Wanted{}, fmt.Errorf("%s: %w", path, err)
		}
	}
	return out, lines.Err()
}

func (w *Wanted) add(l wantLine) error {
	if l.Kind == "" {
		h := &w.Report.Header
		for name, to := range map[string]**record.Field{"site": &h.Site, "site_number": &h.SiteNumber, "address": &h.Address, "printed_at": &h.PrintedAt} {
			if v, ok := l.Header[name]; ok {
				*to = &record.Field{Value: v}
			}
		}
		return nil
	}
	r := record.Record{Kind: l.Kind, Fields: map[string]record.Field{}}
	for name, v := range l.Fields {
		if _, ok := record.Spec(l.Kind, name); !ok {
			return fmt.Errorf("%s has no field %s", l.Kind, name)
		}
		r.Fields[name] = record.Field{Value: v}
	}
	w.Report.Records, w.Either = append(w.Report.Records, r), append(w.Either, l.Either)
	return nil
}

// AsWanted gives the records that are wanted and those that were read so that they can be
// compared field by field: those read without their units, as the wanted ones name none, and
// fields that may be read or not in both where they were read as wanted, or else in neither.
func (w Wanted) AsWanted(got []record.Record) (wanted, read []record.Record) {
	wanted, read = Plain(w.Report.Records), Plain(got)
	for i, j := range paired(wanted, read) {
		for _, name := range w.Either[i] {
			if j >= 0 {
				f, ok := read[j].Fields[name]
				if o, is := wanted[i].Fields[name]; ok && is && SameValue(wanted[i].Kind, name, o, f) {
					continue
				}
				delete(read[j].Fields, name)
			}
			delete(wanted[i].Fields, name)
		}
	}
	return wanted, read
}

// Plain is records without the units of their fields.
func Plain(records []record.Record) []record.Record {
	var out []record.Record
	for _, r := range records {
		fields := map[string]record.Field{}
		for name, f := range r.Fields {
			f.Unit = ""
			fields[name] = f
		}
		r.Fields = fields
		out = append(out, r)
	}
	return out
}
