package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"tankroll/archive"
	"tankroll/index"
	"tankroll/internal/intake"
	"tankroll/record"
)

func (a *app) askCommand() *cobra.Command {
	return &cobra.Command{
		Use:   `ask "QUESTION"`,
		Short: "answer a question about the records",
		Long: `Answers a question in plain words, such as

  tankroll ask "last passing 0.2 test on the diesel tank"
  tankroll ask "failed line tests at 114 since 2026-01-01"

It says first how the question was understood, and which words were not; then
the records, the newest first, with the picture each stands on.`,
		Args:              atLeast(1, "the question, in quotes"),
		ValidArgsFunction: a.completeQuestion,
		RunE: func(c *cobra.Command, args []string) error {
			return a.withDesk(c.Context(), func(d *intake.Desk) error { return a.ask(c.Context(), d, strings.Join(args, " ")) })
		},
	}
}

func (a *app) ask(ctx context.Context, d *intake.Desk, question string) error {
	got, err := d.Ask(ctx, question)
	if err != nil {
		return err
	}
	if a.json {
		return a.line(intake.NewAskDoc(question, got))
	}
	return a.sayAnswer(ctx, d, got)
}

func (a *app) sayAnswer(ctx context.Context, d *intake.Desk, got index.Answer) error {
	q := got.Query
	a.say("understood: %s\n", q.String())
	if len(q.NotUnderstood) > 0 {
		a.say("not understood: %s\n", strings.Join(q.NotUnderstood, ", "))
	}
	if len(q.Assumed) > 0 {
		a.say("taken for granted: %s\n", strings.Join(q.Assumed, "; "))
	}
	for _, r := range got.Readings {
		a.say("it can also mean %s: %s", r.Say, r.Gist())
		if r.First != nil {
			a.say(", first %s of %s", r.First.ID, when(r.First.At))
		}
		a.say("; ask: %s\n", r.Ask)
	}
	if got.Why != "" {
		a.say("%s\n", got.Why)
	}
	for _, s := range got.Try {
		a.say("nearest, %s: %s\n", records(s.Total), s.Ask)
	}
	for _, n := range got.Notes {
		a.say("note: %s\n", n)
	}
	shown := a.sayWhole(got)
	for _, r := range got.Rows[:min(shown, len(got.Rows))] {
		a.say("\n")
		if err := a.row(ctx, d, r); err != nil {
			return err
		}
	}
	if n := got.Total - min(shown, len(got.Rows)); n > 0 && len(got.Rows) > 0 && q.Per == "" {
		a.say("\nand %d more that fit; ask for more by number, such as \"last 10\"\n", n)
	}
	return nil
}

// countShown is how many records are shown beside a number.
const countShown = 3

// sayWhole says what an answer is as a whole, a number, groups or what is
// missing, and tells how many records are worth showing beside it.
func (a *app) sayWhole(got index.Answer) (shown int) {
	q := got.Query
	shown = len(got.Rows)
	switch {
	case got.Figure != nil:
		f := got.Figure
		a.say("%s of %s: %s, from %s\n", f.Name, strings.ReplaceAll(f.Field, "_", " "), f.Say(), records(f.Of))
		shown = countShown
	case q.Missing != "":
		for _, g := range got.Groups {
			line := g.Say()
			if g.Last != nil {
				line += fmt.Sprintf(", last %s (%s)", when(g.Last.At), g.Last.ID)
			}
			if g.Maybe != nil {
				line += fmt.Sprintf(", %s is in doubt", g.Maybe.ID)
			}
			a.say("%s\n", line)
		}
	case q.Figure != "" && q.Per != "":
		for _, g := range got.Groups {
			if f := g.Figure; f != nil {
				a.say("%s: %s of %s %s, from %s\n", g.Say(), f.Name, strings.ReplaceAll(f.Field, "_", " "), f.Say(), records(f.Of))
			}
		}
	case q.Count && q.Per != "":
		for _, g := range got.Groups {
			a.say("%s: %d\n", g.Say(), g.Total)
		}
		a.say("%s, %s\n", got.InAll(), records(got.Total))
	case q.Count:
		a.say("%s\n", records(got.Total))
		shown = countShown
	}
	return shown
}

func records(n int) string {
	if n == 1 {
		return "1 record"
	}
	return fmt.Sprintf("%d records", n)
}

// row writes one record with its site, date and the picture it stands on.
func (a *app) row(ctx context.Context, d *intake.Desk, r archive.Row) error {
	sure := "sure"
	switch {
	case r.Gone:
		sure = "no longer read from its picture, counts no longer"
	case r.Rejected:
		sure = "rejected by a person, counts no longer"
	case r.ByHand:
		sure = "entered by hand"
	case r.Confirmed:
		sure = "confirmed by a person"
	case !r.Sure():
		sure = "doubtful: look at the picture"
	}
	a.say("%s  %s\n", r.ID, title(r.Record))
	a.say("  %s, %s · %s\n", site(r), when(r.At), sure)
	if r.Followed != "" {
		a.say("  followed up: %s\n", r.Followed)
	}
	a.fields(r.Record, "  ")
	if r.ByHand {
		return nil
	}
	areas := r.Record.Areas()
	if len(areas) == 0 {
		areas = []record.Box{{}}
	}
	if err := a.otherPictures(ctx, d, r); err != nil {
		return err
	}
	for _, b := range areas {
		on := r.On(b)
		c, err := d.Store().Capture(ctx, on.Capture)
		if err != nil {
			return err
		}
		a.say("  picture  %s, page %d, at x %d y %d, %d wide %d high\n", on.File, on.Page, b.X, b.Y, b.W, b.H)
		a.say("  original %s\n", d.Store().OriginalPath(c))
	}
	return nil
}

// otherPictures names the other pictures of a record that several show.
func (a *app) otherPictures(ctx context.Context, d *intake.Desk, r archive.Row) error {
	for _, id := range r.With {
		o, err := d.Store().Record(ctx, id)
		if err != nil {
			return err
		}
		a.say("  one with %s  on %s, page %d of %s\n", id, o.File, o.Page, o.Capture)
	}
	return nil
}

func site(r archive.Row) string {
	switch {
	case r.Site == "" && r.SiteName == "":
		return "site not known"
	case r.SiteName == "" || r.SiteName == r.Site:
		return "site " + r.Site
	case r.Site == "":
		return r.SiteName
	}
	return "site " + r.Site + " " + r.SiteName
}
