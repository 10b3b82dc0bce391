package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// readKept gives the text that was kept; "" when there is no such file.
func readKept(file string) (string, error) {
	raw, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	return string(raw), err
}

// keptHead is the head of a text that is kept: what it is about, and what it was made with.
func keptHead(about string, made []string) string {
	head := about
	for _, m := range made {
		head += m + "\n"
	}
	return head + "\n"
}

// withSum are rows and their sum, where there are several.
func withSum[T any](rows []T, sum func() T) []T {
	if len(rows) < 2 {
		return rows
	}
	return append(rows[:len(rows):len(rows)], sum())
}

func keep(file, text string) error {
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		return err
	}
	return os.WriteFile(file, []byte(text), 0o644)
}

// writeKeptChanges shows the lines of a kept text that are others now.
func writeKeptChanges(out io.Writer, file, kept, now string) {
	switch kept {
	case "":
		fmt.Fprintf(out, "nothing is kept in %s: -update keeps this\n", file)
		return
	case now:
		fmt.Fprintf(out, "as kept in %s\n", file)
		return
	}
	fmt.Fprintf(out, "against %s: what was kept, what is now\n", file)
	was, is := strings.Split(kept, "\n"), strings.Split(now, "\n")
	for i := range max(len(was), len(is)) {
		a, b := lineOf(was, i), lineOf(is, i)
		if a == b {
			continue
		}
		if a != "" {
			fmt.Fprintln(out, "- "+a)
		}
		if b != "" {
			fmt.Fprintln(out, "+ "+b)
		}
	}
}

func lineOf(lines []string, i int) string {
	if i < len(lines) {
		return lines[i]
	}
	return ""
}
