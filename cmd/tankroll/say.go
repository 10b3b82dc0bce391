package main

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"tankroll/record"
)

// How tankroll speaks. Results go to standard output, in plain trade English
// for people or as JSON lines for scripts. What went wrong goes to standard
// error, one line each: the program, the file, what is wrong and what to do.
// A doubtful value carries a "?" before its name and its reason behind it.

// problem tells of one thing that went wrong with the named input, or with
// the whole command when name is empty.
func (a *app) problem(name string, err error) {
	text := a.limits.byFlag(strings.ReplaceAll(err.Error(), "\n", " "))
	if name != "" && !strings.HasPrefix(text, name+":") {
		text = name + ": " + text
	}
	fmt.Fprintln(a.err, "tankroll:", text)
}

// fail tells of an input that failed and goes on.
func (a *app) fail(name string, err error) {
	a.problem(name, err)
	a.failed = true
}

// line writes one JSON document.
func (a *app) line(v any) error {
	enc := json.NewEncoder(a.out)
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}

func (a *app) say(format string, args ...any) { fmt.Fprintf(a.out, format, args...) }

func errUnknown(name string) error {
	return fmt.Errorf("there is no command %q; run tankroll help for the list", name)
}

// atLeast is cobra's MinimumNArgs with an error that says what is missing.
func atLeast(n int, what string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) < n {
			return usageError{fmt.Errorf("name %s", what)}
		}
		return nil
	}
}

// exactly is cobra's ExactArgs with an error that says what is wanted.
func exactly(n int, what string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) != n {
			return usageError{fmt.Errorf("name %s", what)}
		}
		return nil
	}
}

// value writes a field's value with its unit, thousands in groups.
func value(f record.Field) string {
	s := f.String()
	if v, ok := f.Number(); ok {
		s = grouped(v)
	}
	if f.Unit != "" {
		s += " " + strings.NewReplacer("degF", "°F", "degC", "°C").Replace(f.Unit)
	}
	return s
}

func grouped(v float64) string {
	s := strconv.FormatFloat(v, 'f', -1, 64)
	whole, frac, dot := strings.Cut(s, ".")
	sign := ""
	if strings.HasPrefix(whole, "-") {
		sign, whole = "-", whole[1:]
	}
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if dot {
		whole += "." + frac
	}
	return sign + whole
}

// when writes a time of a record for people.
func when(at string) string {
	if at == "" {
		return "no date read"
	}
	return strings.Replace(at, "T", " ", 1)
}

// words turns a field's or code's name into plain words.
func words(name string) string { return strings.ReplaceAll(name, "_", " ") }

// title names a record in one line: what it is, of what, and how it ended.
func title(r record.Record) string {
	parts := []string{words(string(r.Kind))}
	if e := r.Equipment(); e != "" {
		if p := r.Text("product"); p != "" {
			e += " " + p
		}
		parts = append(parts, e)
	}
	if c := r.Text("test_class"); c != "" {
		parts = append(parts, c+" gal/h")
	}
	for _, name := range []string{"event", "state", "result"} {
		if s := r.Text(name); s != "" {
			if !r.Fields[name].Sure {
				s += "?"
			}
			parts = append(parts, s)
		}
	}
	return strings.Join(parts, " · ")
}

// fields writes the fields of a record, one a line, doubtful ones with a "?"
// and the reasons.
func (a *app) fields(r record.Record, indent string) {
	why := map[string][]string{}
	for _, d := range r.Doubts {
		why[d.Field] = append(why[d.Field], d.Why)
	}
	for _, name := range r.FieldNames() {
		a.say("%s\n", strings.TrimRight(fieldLine(name, r.Fields[name], why[name], indent), " "))
	}
	for _, w := range why[""] {
		a.say("%s? %s\n", indent, w)
	}
}

// fieldLine is one field with its mark, its value and, behind a dash, why it is
// doubtful or where it comes from.
func fieldLine(name string, f record.Field, why []string, indent string) string {
	mark := " "
	if !f.Sure {
		mark = "?"
	}
	switch {
	case f.Origin == record.Entered:
		why = append(why, "entered by a person")
	case f.Origin == record.Repaired:
		why = append(why, fmt.Sprintf("printed %q", f.Text))
	case !f.Sure && len(why) == 0:
		why = append(why, fmt.Sprintf("printed %q, not sure", f.Text))
	}
	tail := ""
	if len(why) > 0 {
		tail = "  — " + strings.Join(why, "; ")
	}
	return fmt.Sprintf("%s%s %-18s %s%s", indent, mark, words(name), value(f), tail)
}
