package parse_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tankroll/parse"
	"tankroll/record"
)

var update = flag.Bool("update", false, "write the golden files anew")

// plainReport writes a report as text: one field a line, "?" behind what is
// not sure, with its doubts.
func plainReport(r record.Report) string {
	var b strings.Builder
	for _, h := range []struct {
		name string
		f    *record.Field
	}{{"site", r.Header.Site}, {"site_number", r.Header.SiteNumber}, {"address", r.Header.Address}, {"printed_at", r.Header.PrintedAt}} {
		if h.f != nil {
			b.WriteString(plainField(h.name, *h.f))
		}
	}
	for _, rec := range r.Records {
		fmt.Fprintf(&b, "\n%s\n", rec.Kind)
		for _, n := range rec.FieldNames() {
			b.WriteString(plainField("  "+n, rec.Fields[n]))
		}
		for _, d := range rec.Doubts {
			fmt.Fprintf(&b, "  doubt %s: %s\n", d.Field, d.Why)
		}
	}
	return b.String()
}

func plainField(name string, f record.Field) string {
	v := fmt.Sprint(f.Value)
	if f.Unit != "" {
		v += " " + f.Unit
	}
	mark := ""
	if !f.Sure {
		mark = " ?"
	}
	if f.Origin != record.Printed {
		mark += " " + string(f.Origin)
	}
	return fmt.Sprintf("%s = %s (%s)%s\n", name, v, f.Text, mark)
}

// TestSlips reads typed printouts of many layouts and compares with what they
// say. The printouts are invented.
func TestSlips(t *testing.T) {
	files, err := filepath.Glob("testdata/slips/*.txt")
	if err != nil || len(files) == 0 {
		t.Fatal("no slips", err)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txt"), func(t *testing.T) {
			raw, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			got := []byte(plainReport(readTyped(string(raw), parse.Hints{})))
			golden := strings.TrimSuffix(file, ".txt") + ".golden"
			if *update {
				if err := os.WriteFile(golden, got, 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(golden)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(got, want) {
				t.Errorf("got:\n%s\nwant:\n%s", got, want)
			}
		})
	}
}

// TestShow prints what a typed printout says, for whoever works on the grammar:
// PARSE_FILE=slip.txt go test -count=1 -v -run TestShow ./parse
func TestShow(t *testing.T) {
	file := os.Getenv("PARSE_FILE")
	if file == "" {
		t.Skip("no PARSE_FILE")
	}
	raw, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("\n%s", plainReport(readTyped(string(raw), parse.Hints{})))
}
