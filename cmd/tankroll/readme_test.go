package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"tankroll/internal/memdisk"
	"tankroll/ocr"
)

// asProgram makes the test program be tankroll, so that it can be killed.
const asProgram = "TANKROLL_TEST_AS_PROGRAM"

// TestMain lets the test program be the recognition worker, as main does, or the
// program as a whole.
func TestMain(m *testing.M) {
	ocr.RunWorkerIfAsked()
	if os.Getenv(asProgram) != "" {
		main()
	}
	memdisk.Use()
	os.Exit(m.Run())
}

// TestReadmeSession runs the session of the README and compares what it
// prints. In the README "…" stands for anything within a line, and alone on a
// line for any number of lines.
func TestReadmeSession(t *testing.T) {
	steps := session(t, filepath.Join("..", "..", "README.md"))
	if len(steps) < 4 {
		t.Fatalf("the README's session has %d commands; it should show add, ask, show, find and coverage", len(steps))
	}
	root, err := filepath.Abs(filepath.Join("..", ".."))
	if err != nil {
		t.Fatal(err)
	}
	archive := filepath.Join(t.TempDir(), "archive")
	t.Setenv("TANKROLL_ARCHIVE", archive)
	t.Chdir(root)
	for _, s := range steps {
		var out bytes.Buffer
		code := run(context.Background(), s.args, strings.NewReader(""), &out, &out)
		if code != exitDone {
			t.Errorf("$ tankroll %s\nexit %d", s.command, code)
		}
		if !s.pattern.MatchString(out.String()) {
			t.Errorf("$ tankroll %s\nthe README shows:\n%s\nthe program prints:\n%s", s.command, s.want, out.String())
		}
	}
}

type step struct {
	command string
	args    []string
	want    string
	pattern *regexp.Regexp
}

// session reads the first console block of a document.
func session(t *testing.T, path string) []step {
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	_, rest, ok := strings.Cut(string(raw), "```console\n")
	block, _, closed := strings.Cut(rest, "```")
	if !ok || !closed {
		t.Fatalf("%s has no console block", path)
	}
	var steps []step
	for _, l := range strings.Split(strings.TrimRight(block, "\n"), "\n") {
		if command, ok := strings.CutPrefix(l, "$ tankroll "); ok {
			steps = append(steps, step{command: command, args: split(command)})
			continue
		}
		if len(steps) == 0 {
			t.Fatalf("%s: the session starts with output: %q", path, l)
		}
		steps[len(steps)-1].want += l + "\n"
	}
	for i := range steps {
		steps[i].pattern = pattern(steps[i].want)
	}
	return steps
}

// pattern matches output against what the README shows.
func pattern(want string) *regexp.Regexp {
	var b strings.Builder
	b.WriteString(`(?s)\A`)
	for _, l := range strings.SplitAfter(strings.TrimRight(want, "\n"), "\n") {
		if strings.TrimSpace(l) == "…" {
			b.WriteString(`(?:[^\n]*\n)*?`)
			continue
		}
		b.WriteString(strings.ReplaceAll(regexp.QuoteMeta(strings.TrimRight(l, " \n")), "…", `[^\n]*`))
		b.WriteString(`[ ]*\n`)
	}
	b.WriteString(`\s*\z`)
	return regexp.MustCompile(b.String())
}

// split parts a command line at spaces, but not within double quotes.
func split(s string) []string {
	var out []string
	for i, part := range strings.Split(s, `"`) {
		if i%2 == 1 {
			out = append(out, part)
			continue
		}
		out = append(out, strings.Fields(part)...)
	}
	return out
}
