package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"tankroll/comply"
	"tankroll/internal/intake"
)

func (a *app) retentionCommand() *cobra.Command {
	var site string
	var years int
	var list bool
	c := &cobra.Command{
		Use:   "retention",
		Short: "show how old records are, and which the law no longer asks for",
		Long: `Shows for every site and kind how old the oldest record is, and which records are
past the time for which the federal rule wants them kept (40 CFR 280.45: results of
tests and monitoring a year, those of a tank tightness test until the next). States
may want longer: --years reckons with another number.

It only shows. tankroll deletes no record, however old.`,
		Args: exactly(0, "no arguments; --site, --years and --list choose what is shown"),
		RunE: func(c *cobra.Command, _ []string) error {
			if years < 0 || years > 100 {
				return usageError{fmt.Errorf("--years %d is no time to keep records; give 1 to 100", years)}
			}
			return a.withDesk(c.Context(), func(d *intake.Desk) error { return a.retention(c.Context(), d, site, years, list) })
		},
	}
	f := c.Flags()
	f.StringVar(&site, "site", "", "number or name of one site; all when empty")
	completes(c, "site", a.completeSites)
	f.IntVar(&years, "years", 0, "years that your state wants records kept, instead of the federal rule")
	f.BoolVar(&list, "list", false, "name the records that are past it")
	return c
}

func (a *app) retention(ctx context.Context, d *intake.Desk, site string, years int, list bool) error {
	held, err := d.Retention(ctx, site, years)
	if err != nil {
		return err
	}
	if a.json {
		for _, h := range held {
			if err := a.line(h); err != nil {
				return err
			}
		}
		return nil
	}
	last := "\x00"
	for _, h := range held {
		if h.Site != last {
			last = h.Site
			a.say("site %s\n", siteOr(h.Site))
		}
		a.held(h, list)
	}
	if len(held) == 0 {
		a.say("no records\n")
		return nil
	}
	var longer []string
	for _, s := range comply.LongerStates() {
		k := comply.LongerKeeps()[s]
		longer = append(longer, fmt.Sprintf("%s %d years (%s)", s, k.Years, k.Source))
	}
	a.say("\nStates may want longer, among them %s: --years reckons with another number.\nNothing is deleted, however old.\n", strings.Join(longer, ", "))
	return nil
}

func (a *app) held(h comply.Held, list bool) {
	span := "no date read"
	if !h.Oldest.IsZero() {
		span = fmt.Sprintf("%s to %s", h.Oldest, h.Newest)
	}
	past := "no time named by the rules known here"
	if h.Years > 0 {
		past = fmt.Sprintf("%d past %s (%s)", h.Past, counted(int64(h.Years), "year"), h.Source)
	}
	a.say("  %-16s %6s, %s · %s\n", words(string(h.Kind)), counted(int64(h.Count), "record"), span, past)
	if h.Unsure > 0 && h.Years > 0 {
		a.say("      ?     %d of them without a sure date, so not counted as past\n", h.Unsure)
	}
	if list && len(h.PastIDs) > 0 {
		a.say("      past  %s\n", strings.Join(h.PastIDs, " "))
	}
}
