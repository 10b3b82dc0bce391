package parse_test

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tankroll/parse"
	"tankroll/record"
)

// wantedSlip is what an author says a printout holds.
type wantedSlip struct {
	report record.Report
	either [][]string // of each record: fields that may be read or not
}

// wantLine is one line of a file of wanted values: the header, or a record.
type wantLine struct {
	Header map[string]any `json:"header"`
	Kind   record.Kind    `json:"kind"`
	Fields map[string]any `json:"fields"`
	Either []string       `json:"either"`
}

func readWanted(t *testing.T, path string) wantedSlip {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var out wantedSlip
	for lines := bufio.NewScanner(f); lines.Scan(); {
		if strings.TrimSpace(lines.Text()) == "" {
			continue
		}
		var l wantLine
		if err := json.Unmarshal(lines.Bytes(), &l); err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		if l.Kind == "" {
			h := &out.report.Header
			for name, to := range map[string]**record.Field{"site": &h.Site, "site_number": &h.SiteNumber, "address": &h.Address, "printed_at": &h.PrintedAt} {
				if v, ok := l.Header[name]; ok {
					*to = &record.Field{Value: v}
				}
			}
			continue
		}
		r := record.Record{Kind: l.Kind, Fields: map[string]record.Field{}}
		for name, v := range l.Fields {
			if _, ok := record.Spec(l.Kind, name); !ok {
				t.Fatalf("%s: %s has no field %s", path, l.Kind, name)
			}
			r.Fields[name] = record.Field{Value: v}
		}
		out.report.Records, out.either = append(out.report.Records, r), append(out.either, l.Either)
	}
	return out
}

// asWanted gives the fields that were read the units of the wanted ones, which name
// none, and leaves out those that may be read or not.
func (w wantedSlip) asWanted(got record.Report) record.Report {
	pairs := matchRecords(w.report.Records, plain(got.Records))
	out := got
	out.Records = plain(got.Records)
	for i, j := range pairs {
		if j >= 0 {
			for _, name := range w.either[i] {
				delete(out.Records[j].Fields, name)
			}
		}
	}
	return out
}

func plain(records []record.Record) []record.Record {
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

// strangersLeast guards against going back: a folder's share of right fields, of wrong
// ones among those that are sure, and of sure fields.
func strangersLeast() map[string][3]float64 {
	return map[string][3]float64{"america": {0.985, 0.001, 0.8}, "abroad": {0.995, 0.001, 0.8}, "trade": {0.99, 0.001, 0.8}, "chain": {0.98, 0.001, 0.8}, "world": {0.985, 0.001, 0.8}, "far": {0.95, 0.001, 0.8}, "near": {0.99, 0.001, 0.8},
		"decades": {0.995, 0.001, 0.8}, "export": {0.995, 0.001, 0.8}}
}

// TestStrangers counts how well printouts are read that people wrote down who did not
// know the grammar: realistic, each set of eight consoles of their own. STRANGERS names
// other folders; STRANGERS_SHOW shows what differs: "sure", "all" or a kind.
func TestStrangers(t *testing.T) {
	sets := strings.Fields(os.Getenv("STRANGERS"))
	if len(sets) == 0 {
		sets, _ = filepath.Glob("testdata/strangers/[a-z]*")
	}
	show := os.Getenv("STRANGERS_SHOW")
	for _, dir := range sets {
		s := newScoring()
		files, _ := filepath.Glob(filepath.Join(dir, "*.txt"))
		slices.Sort(files)
		whole, records := 0, 0
		for _, f := range files {
			raw, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			want := readWanted(t, strings.TrimSuffix(f, ".txt")+".want")
			var notes []string
			s.note = func(f string, a ...any) { notes = append(notes, fmt.Sprintf(f, a...)) }
			before := s.total()
			got := want.asWanted(readTyped(string(raw), parse.Hints{}))
			s.report(want.report, got)
			d := minus(s.total(), before)
			if d.missing+d.wrong+d.extra == 0 {
				whole++
			}
			records++
			if show == "all" && len(notes) > 0 || show == "sure" && d.sureWrong > 0 || show != "" && strings.Contains(strings.Join(notes, "\n"), " "+show+".") {
				fmt.Printf("--- %s\n%s\n%s\n", f, raw, strings.Join(notes, "\n"))
			}
		}
		sum := s.total()
		rate, wrong := float64(sum.right)/float64(sum.wanted), float64(sum.sureWrong)/float64(max(sum.sure, 1))
		if want, ok := strangersLeast()[filepath.Base(dir)]; ok && (rate < want[0] || wrong > want[1] || float64(sum.sure) < want[2]*float64(sum.wanted)) {
			t.Errorf("%s: right %.4f, want at least %.2f; %d of %d sure fields wrong; %d wanted, %.2f of them should be sure", dir, rate, want[0], sum.sureWrong, sum.sure, sum.wanted, want[2])
		}
		t.Logf("%s: %d of %d slips without a fault\n%s", dir, whole, records, s.table(os.Getenv("PARSE_FIELDS") != ""))
	}
}
