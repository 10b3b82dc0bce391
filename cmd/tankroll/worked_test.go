package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"tankroll/fixtures"
	"tankroll/internal/score"
	"tankroll/record"
)

// TestWorkedExample makes the slip of ocr/README.md again from the seed that stands
// there, reads it, and compares all that the page quotes: what is printed, what both
// readings say, the cells, the records and the pictures. And the example must be one:
// the first line of which it shows the cells is read wrong at first and right by both
// readings, the second is read wrong at first and stays in doubt.
func TestWorkedExample(t *testing.T) {
	file := filepath.Join("..", "..", "ocr", "README.md")
	raw, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	page, steps := string(raw), session(t, file)
	pictures, err := filepath.Abs(filepath.Join(filepath.Dir(file), "doc"))
	if err != nil {
		t.Fatal(err)
	}
	c := workedCase(t, page)
	dir := t.TempDir()
	t.Chdir(dir)
	name := c.Name + "." + c.Ext
	if err := os.WriteFile(name, c.Raw, 0o644); err != nil {
		t.Fatal(err)
	}
	if len(steps) != 2 {
		t.Fatalf("the page has %d commands, not one with the first reading and one with both", len(steps))
	}
	var slips [2]record.ReadSlip
	for i, s := range steps {
		var shown string
		if slips[i], shown = slipRead(t, s.args); !s.pattern.MatchString(shown) {
			t.Errorf("$ tankroll %s\nthe page shows:\n%s\nthe program prints:\n%s", s.command, s.want, shown)
		}
	}
	first, both := slips[0], slips[1]
	compareLines(t, page, c.Slips[0].Text, first.Text, both.Text)
	for _, q := range []struct {
		what string
		want any
	}{
		{`(\d+) % of the contrast`, int(math.Round(100 * both.Paper.Ink))},
		{`Of (\d+) words`, score.CountWords(c.Slips[0].Text, nil).Truth},
		{`first reading has (\d+) right`, score.CountWords(c.Slips[0].Text, first.Text).Both},
		{`both together (\d+)`, score.CountWords(c.Slips[0].Text, both.Text).Both},
	} {
		if got := quoted(t, page, q.what)[0]; got != fmt.Sprint(q.want) {
			t.Errorf("%q: the page says %s, it is %v", q.what, got, q.want)
		}
	}
	for _, name := range regexp.MustCompile("`(steps/[^`]*)`").FindAllStringSubmatch(page, -1) {
		if _, err := os.Stat(name[1]); err != nil {
			t.Errorf("the page names a step that is not there: %v", err)
		}
	}
	compareCells(t, page, traced(t, "steps", "cells.txt")[0])
	comparePictures(t, page, name, "steps", pictures)
}

// workedCase is the picture that the page says how to make.
func workedCase(t *testing.T, page string) fixtures.Case {
	at := quoted(t, page, `gen -part fit -level (\w+) -n 1 -seed (\d+) -of (\S+),(\S+)`)
	seed, err := strconv.ParseUint(at[1], 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	c, err := fixtures.MakeOf("fit", at[0], seed, at[2], at[3])
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// quoted finds what a page says.
func quoted(t *testing.T, page, what string) []string {
	t.Helper()
	m := regexp.MustCompile(strings.ReplaceAll(what, " ", `\s+`)).FindStringSubmatch(page)
	if m == nil {
		t.Fatalf("the page does not say %q", what)
	}
	return m[1:]
}

// slipRead is the one slip of a picture as a command reads it, and what the command
// prints of it: it is read once for both, for scripts, and then printed for people.
func slipRead(t *testing.T, args []string) (record.ReadSlip, string) {
	t.Helper()
	var out, trouble, shown bytes.Buffer
	if code := run(context.Background(), append([]string{"--json"}, args...), strings.NewReader(""), &out, &trouble); code != exitDone {
		t.Fatalf("$ tankroll %s\nexit %d: %s", strings.Join(args, " "), code, trouble.String())
	}
	var p record.Page
	if err := json.Unmarshal(out.Bytes(), &p); err != nil {
		t.Fatal(err)
	}
	if len(p.Slips) != 1 {
		t.Fatalf("%d slips", len(p.Slips))
	}
	if err := (&app{out: &shown}).page(p); err != nil {
		t.Fatal(err)
	}
	return p.Slips[0], shown.String()
}

// traced are the files of a trace whose names end so, in the order of work.
func traced(t *testing.T, dir, end string) []string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(dir, "*-"+end))
	if err != nil || len(found) == 0 {
		t.Fatalf("no %s in the trace: %v", end, err)
	}
	return found
}

// compareLines holds the page's table of lines against what is printed and what both
// readings say, runs of spaces as one.
func compareLines(t *testing.T, page string, want, first, both []string) {
	rows := regexp.MustCompile("(?m)^\\| `(.*)` \\| `(.*)` \\| `(.*)` \\|$").FindAllStringSubmatch(page, -1)
	if len(rows) != len(want) || len(first) != len(want) || len(both) != len(want) {
		t.Fatalf("%d lines are printed, %d on the page, %d and %d read", len(want), len(rows), len(first), len(both))
	}
	for i, row := range rows {
		for k, is := range []string{want[i], first[i], both[i]} {
			if is = strings.Join(strings.Fields(is), " "); row[k+1] != is {
				t.Errorf("line %d, column %d: the page says %q, it is %q", i+1, k+1, row[k+1], is)
			}
		}
	}
}

// compareCells holds the page's tables of cells against that of the trace. A page
// shows some of a line's cells and words. Numbers may differ a little, as they do
// from one kind of processor to another.
func compareCells(t *testing.T, page, file string) {
	raw, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	shown := regexp.MustCompile("(?s)```text\n(line \\d+: [^\n]*\n.*?)```").FindAllStringSubmatch(page, -1)
	if len(shown) != 2 {
		t.Fatalf("the page shows the cells of %d lines, not of one that is recovered and one that stays in doubt", len(shown))
	}
	for i, block := range shown {
		want := strings.Split(strings.TrimSpace(block[1]), "\n")
		text, whole := want[0], ""
		for _, l := range strings.Split(string(raw), "\n\n") {
			if strings.HasPrefix(l, text+"\n") {
				whole = l
			}
		}
		for _, row := range want {
			if !hasNearly(strings.Split(whole, "\n"), row) {
				t.Errorf("the page has %q, the trace:\n%s", row, whole)
			}
		}
		_, text, _ = strings.Cut(text, ": ")
		row := regexp.MustCompile("(?m)^\\| `(.*)` \\| `(.*)` \\| `" + regexp.QuoteMeta(text) + "` \\|$").FindStringSubmatch(page)
		switch {
		case row == nil:
			t.Errorf("%q is not in the table of lines", text)
		case i == 0 && (row[1] != text || row[2] == text):
			t.Errorf("%q is not recovered: printed %q, read at first %q", text, row[1], row[2])
		case i == 1 && (row[2] == row[1] || !strings.Contains(block[1], ", or ")):
			t.Errorf("%q is not a line that stays in doubt", text)
		}
	}
}

// hasNearly is whether a row is among rows, but for numbers that differ by little.
func hasNearly(rows []string, row string) bool {
	const little = 0.03
	want := strings.Fields(row)
	for _, r := range rows {
		got := strings.Fields(r)
		same := len(got) == len(want)
		for i := 0; same && i < len(want); i++ {
			a, errA := strconv.ParseFloat(strings.TrimSuffix(want[i], ","), 64)
			b, errB := strconv.ParseFloat(strings.TrimSuffix(got[i], ","), 64)
			same = want[i] == got[i] || errA == nil && errB == nil && strings.Contains(want[i], "0.") && math.Abs(a-b) <= little
		}
		if same {
			return true
		}
	}
	return false
}
