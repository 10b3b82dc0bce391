package parse_test

import (
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tankroll/parse"
	"tankroll/record"
)

var taggerLosses = flag.String("tagger-losses", "", "write what became of each wanted value of STRANGERS to a file, for train/losses.py")

// lostField is what became of a wanted value, or a value that nobody wanted.
type lostField struct {
	Record int    `json:"record"` // wanted one; -1 for a record that nobody wanted
	Kind   string `json:"kind"`
	Field  string `json:"field"`
	Want   any    `json:"want"`
	Got    any    `json:"got"`
	State  string `json:"state"` // right, wrong, missing, norecord, extra
}

// TestTaggerLosses writes what became of the wanted values of strangers' printouts, with what
// their words are. It asserts nothing and is skipped unless asked for.
//
//	STRANGERS="FOLDER …" go test ./parse -run TestTaggerLosses -tagger-losses FILE
//	python3 parse/tagger/train/losses.py FILE
func TestTaggerLosses(t *testing.T) {
	if *taggerLosses == "" {
		t.Skip("give -tagger-losses with a file to write to")
	}
	out, err := os.Create(*taggerLosses)
	if err != nil {
		t.Fatal(err)
	}
	enc := json.NewEncoder(out)
	for _, dir := range strings.Fields(os.Getenv("STRANGERS")) {
		for _, s := range strangers(t, dir) {
			slips := parse.Typed(s.text)
			if len(slips) != 1 {
				continue
			}
			row := struct {
				File   string      `json:"file"`
				Slip   taughtSlip  `json:"slip"`
				Fields []lostField `json:"fields"`
			}{s.file, taught(filepath.Base(dir), slips[0], s.want), fieldLosses(s)}
			if err := enc.Encode(row); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := out.Close(); err != nil {
		t.Fatal(err)
	}
}

// fieldLosses are the values of a printout's records and what became of them.
func fieldLosses(s stranger) (out []lostField) {
	want, read := s.want.AsWanted(readTyped(s.text, parse.Hints{}).Records)
	used := make([]bool, len(read))
	pairs := matchRecords(want, read)
	for i, w := range want {
		g, state := record.Record{}, "norecord"
		if j := pairs[i]; j >= 0 {
			g, used[j], state = read[j], true, "missing"
		}
		bothFields(w, g, func(name string, a, b *record.Field) {
			l := lostField{Record: i, Kind: string(w.Kind), Field: name, State: state}
			if b != nil {
				l.Got, l.State = b.Value, "extra"
			}
			if a != nil {
				l.Want = a.Value
				if b != nil {
					l.State = "wrong"
					if same(*a, *b) {
						l.State = "right"
					}
				}
			}
			out = append(out, l)
		})
	}
	for j, g := range read {
		if !used[j] {
			bothFields(record.Record{}, g, func(name string, _, b *record.Field) {
				out = append(out, lostField{Record: -1, Kind: string(g.Kind), Field: name, Got: b.Value, State: "extra"})
			})
		}
	}
	return out
}
