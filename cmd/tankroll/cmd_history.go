package main

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"tankroll/archive"
	"tankroll/internal/intake"
	"tankroll/record"
)

func (a *app) historyCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "history ID [FIELD]",
		Short: "tell the story of a record (r…), of one field of it, or of a capture (c…)",
		Long: `Tells all that happened to a record since its picture came in: what each
reading said and by which versions, what people decided, and for every field
what it shows now and why. With a field, such as leak_rate, only what was said
of that.

Of a capture it tells when each page was read, and what came of it.`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) < 1 || len(args) > 2 {
				return usageError{fmt.Errorf("name one record or capture, such as r12 or c3, and a field of it if only that is wanted")}
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error {
			field := ""
			if len(args) > 1 {
				field = strings.ReplaceAll(args[1], " ", "_")
			}
			return a.withDesk(c.Context(), func(d *intake.Desk) error { return a.story(c.Context(), d, args[0], field) })
		},
	}
}

func (a *app) story(ctx context.Context, d *intake.Desk, id, field string) error {
	s, err := d.Store().Story(ctx, id)
	if err != nil {
		return err
	}
	if field != "" {
		if s, err = only(s, field); err != nil {
			return err
		}
	}
	if a.json {
		return a.line(storyLine(id, s))
	}
	if s.Row.ID == "" {
		a.say("%s  %s\n", id, s.Capture.File)
	} else {
		a.say("%s  %s\n", id, title(s.Row.Record))
	}
	for _, e := range s.Events {
		a.say("  %-16s  %s\n", stampWords(e.At), eventWords(e, s.Row.ID == ""))
	}
	for _, f := range s.Fields {
		a.fieldStory(f)
	}
	return nil
}

// only is the story of one field.
func only(s archive.Story, field string) (archive.Story, error) {
	for _, f := range s.Fields {
		if f.Name == field {
			s.Events, s.Fields = nil, []archive.FieldStory{f}
			return s, nil
		}
	}
	if s.Row.ID == "" {
		return s, usageError{fmt.Errorf("%s is a capture; name a field of a record (r…)", s.Capture.ID)}
	}
	return s, fmt.Errorf("%s: %s was never read or entered; tankroll history %s lists its fields", s.Row.ID, field, s.Row.ID)
}

func (a *app) fieldStory(f archive.FieldStory) {
	a.say("%-18s %s  — %s\n", words(f.Name), orNothing(f.Now), f.Why)
	if agreed(f.Sayings) {
		return
	}
	for _, x := range f.Sayings {
		undone := ""
		if x.Event.Undone {
			undone = " (taken back)"
		}
		who := "read"
		switch x.Event.What {
		case archive.Correct:
			who = person(x.Event.By) + " corrected to"
		case archive.Confirm:
			who = person(x.Event.By) + " confirmed"
		default:
			if x.Event.Reading != nil {
				who = fmt.Sprintf("%s page %d, %s:", x.Event.Capture, x.Event.Reading.Page, versions(*x.Event.Reading))
			}
		}
		a.say("    %-16s  %s %s%s\n", stampWords(x.Event.At), who, orNothing(x.Value), undone)
	}
}

// agreed reports whether all readings of a field said the same, and no person
// something else.
func agreed(list []archive.Saying) bool {
	for _, x := range list {
		if x.Event.What == archive.Correct || orNothing(x.Value) != orNothing(list[0].Value) {
			return false
		}
	}
	return true
}

func versions(p archive.PageReading) string {
	if p.OCRVersion == 0 {
		return "version not noted"
	}
	return fmt.Sprintf("reader %d grammar %d", p.OCRVersion, p.GrammarVersion)
}

// mark is a value with a question mark where it is not sure.
func mark(f record.Field) string {
	if f.Sure {
		return value(f)
	}
	return value(f) + "?"
}

// orNothing is mark of a field that may not be there.
func orNothing(f *record.Field) string {
	if f == nil {
		return "nothing"
	}
	return mark(*f)
}

func person(by string) string {
	if by == "" {
		return "somebody"
	}
	return by
}

func stampWords(t time.Time) string {
	if t.IsZero() {
		return "time not noted"
	}
	return t.Local().Format("2006-01-02 15:04")
}

// eventWords tells one event in a line.
func eventWords(e archive.Event, ofCapture bool) string {
	switch e.What {
	case archive.WasKept:
		return fmt.Sprintf("%s kept as %s", e.File, e.Capture)
	case archive.WasUnseen:
		return fmt.Sprintf("%s page %d read by %s, which does not show %s", e.Capture, e.Reading.Page, versions(*e.Reading), e.Record)
	case archive.WasRead:
		p := *e.Reading
		at := fmt.Sprintf("%s page %d read by %s", e.Capture, p.Page, versions(p))
		switch {
		case ofCapture && p.Error != "":
			return at + ": " + p.Error
		case ofCapture:
			return fmt.Sprintf("%s: %s, %s", at, count(p.Slips, "slip"), count(p.Records, "record"))
		case e.First:
			return fmt.Sprintf("%s as %s: %s, %d doubtful", at, e.Record, count(len(e.Changes), "field"), e.Doubtful())
		case len(e.Changes) == 0:
			return at + ": nothing new"
		}
		return at + ": " + changeWords(e.Changes)
	}
	return decisionWords(e)
}

// decisionWords tells what a person decided.
func decisionWords(e archive.Event) string {
	what := e.What
	switch e.What {
	case archive.Confirm:
		what = "confirmed " + orWhole(e.Field)
	case archive.Correct:
		was := ""
		if e.Was != nil {
			was = " from " + mark(*e.Was)
		}
		to := " to " + e.Value
		if e.Value == "" {
			to = ": the paper does not show it"
		}
		what = "corrected " + words(e.Field) + was + to
	case archive.Reject:
		what = "rejected the record"
	case archive.Undo:
		what = "took a decision back"
	case archive.FollowUp:
		what = "followed up"
	case archive.Same:
		what = "said that " + e.Record + " is one with " + e.Other
	case archive.Differ:
		what = "said that " + e.Record + " is another than " + e.Other
	case archive.Link:
		what = fmt.Sprintf("linked %s to site %s", e.Capture, e.Value)
		if e.Value == "" {
			what = "took back the site that " + e.Capture + " was linked to"
		}
	case "enter":
		what = "typed it in by hand"
	}
	what = person(e.By) + " " + what
	if e.Note != "" {
		what += " (" + e.Note + ")"
	}
	if e.Undone {
		what += ", taken back since"
	}
	return what
}

func orWhole(field string) string {
	if field == "" {
		return "the record"
	}
	return words(field)
}

// changeWords lists what changed, such as "leak rate -0.02? → -0.03 gal/h".
func changeWords(list []archive.Change) string {
	var out []string
	for _, c := range list {
		from, to := orNothing(c.From), orNothing(c.To)
		if from == to {
			to += " as printed otherwise"
		}
		out = append(out, fmt.Sprintf("%s %s → %s", words(c.Field), from, to))
	}
	return strings.Join(out, ", ")
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
