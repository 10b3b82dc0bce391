package main

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"tankroll/comply"
	"tankroll/internal/intake"
)

const day = "2006-01-02"

func (a *app) coverageCommand() *cobra.Command {
	var site, from, to string
	c := &cobra.Command{
		Use:   "coverage",
		Short: "show which tanks have a passing test for every 30 days, and the gaps",
		Long: `Shows for every tank whether a conclusive passing leak test stands for every
30 days of the time asked about (40 CFR 280.41), the gaps, and when the next
test is due. The default is the past 12 months.

It shows evidence and gaps among the records kept here. It does not say that a
site meets the law: your state may ask for more, and the paper decides.`,
		Args: exactly(0, "no arguments; --site, --from and --to choose what is shown"),
		RunE: func(c *cobra.Command, _ []string) error {
			from, to, err := window(from, to, now())
			if err != nil {
				return err
			}
			return a.withDesk(c.Context(), func(d *intake.Desk) error { return a.coverage(c.Context(), d, site, from, to) })
		},
	}
	f := c.Flags()
	f.StringVar(&site, "site", "", "number of one site; all when empty")
	completes(c, "site", a.completeSites)
	f.StringVar(&from, "from", "", "first day, as 2026-01-31 (default a year before --to)")
	f.StringVar(&to, "to", "", "last day (default today)")
	return c
}

// window fills in the days that were not given.
func window(from, to string, today time.Time) (string, string, error) {
	last := today
	if to != "" {
		var err error
		if last, err = time.Parse(day, to); err != nil {
			return "", "", usageError{fmt.Errorf("--to %q is not a day; write it as 2026-01-31", to)}
		}
	}
	first := last.AddDate(-1, 0, 1)
	if from != "" {
		var err error
		if first, err = time.Parse(day, from); err != nil {
			return "", "", usageError{fmt.Errorf("--from %q is not a day; write it as 2026-01-31", from)}
		}
	}
	if first.Format(day) > last.Format(day) {
		return "", "", usageError{fmt.Errorf("--from %s lies after --to %s", first.Format(day), last.Format(day))}
	}
	return first.Format(day), last.Format(day), nil
}

func (a *app) coverage(ctx context.Context, d *intake.Desk, site, from, to string) error {
	list, err := d.Coverage(ctx, site, from, to)
	if err != nil {
		return err
	}
	if a.json {
		for _, r := range list {
			if err := a.line(r); err != nil {
				return err
			}
		}
		return nil
	}
	if len(list) == 0 {
		a.say("no tanks known; add printouts that name them\n")
		return nil
	}
	a.say("from %s to %s\n", from, to)
	common := inAll(list)
	last := "\x00"
	for _, r := range list {
		if r.Site != last {
			last = r.Site
			a.say("\nsite %s\n", siteOr(r.Site))
		}
		a.requirement(r, common)
	}
	for _, n := range common {
		a.say("\nEvery tank: %s.\n", n)
	}
	a.say("\nThis shows evidence and gaps among the records kept here, nothing more.\nThe paper, your state's rules and your agency decide.\n")
	return nil
}

func siteOr(s string) string {
	if s == "" {
		return "not known"
	}
	return s
}

// inAll lists the notes that stand with every requirement, to be said once.
func inAll(list []comply.Requirement) []string {
	var out []string
	if len(list) < 2 {
		return nil
	}
	for _, n := range list[0].Notes {
		everywhere := true
		for _, r := range list {
			everywhere = everywhere && slices.Contains(r.Notes, n)
		}
		if everywhere {
			out = append(out, n)
		}
	}
	return out
}

func (a *app) requirement(r comply.Requirement, common []string) {
	verdict := map[string]string{"covered": "covered", "gap": "GAP", "unknown": "cannot tell"}[r.Verdict]
	a.say("  %-18s %-12s %s (%s)\n", r.Equipment, verdict, r.Requirement, r.Source)
	for _, g := range r.Gaps {
		a.say("      gap   %s to %s, %d days\n", g.From, g.To, g.Days)
	}
	if n := len(r.Evidence); n > 0 {
		a.say("      tests %d that count, the last %s (%s)\n", n, when(r.Evidence[n-1].At), r.Evidence[n-1].ID)
	}
	for _, g := range r.Unknown {
		a.say("      ?     %s to %s, %d days: the records do not tell\n", g.From, g.To, g.Days)
	}
	if r.NextDue != "" {
		a.say("      due   by %s\n", r.NextDue)
	}
	for _, n := range r.Notes {
		if slices.Contains(common, n) {
			continue
		}
		a.say("      note  %s\n", n)
	}
}
