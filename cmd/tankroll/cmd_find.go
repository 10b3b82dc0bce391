package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"tankroll/index"
	"tankroll/internal/intake"
)

func (a *app) findCommand() *cobra.Command {
	var s index.Search
	c := &cobra.Command{
		Use:   "find WORDS…",
		Short: "find printed words, even misread ones",
		Long: `Finds slips by the words printed on them. Letters that readers confuse (0 and
O, 1 and I, 5 and S …) meet, and a longer word may have one character wrong;
figures never.

  "words in quotes"   stand together, in this order
  -word               leaves out slips that show it
  site:114            of this site: its number, its name or a part of the name
  kind:"tank test"    with such a record
  product:diesel      with a record about this product
  result:fail         with this result
  from:2024-05 to:2024-12-31   a year, a month or a day

All filters must hold for one record of the slip. They may stand alone.`,
		Example: `  tankroll find 'diesel "leak test" -passed site:114 from:2024'
  tankroll find --sort printed --facets 'kind:alarm sump'`,
		Args:              atLeast(1, "words to find"),
		ValidArgsFunction: a.completeFilters,
		RunE: func(c *cobra.Command, args []string) error {
			s.Text = searchText(args)
			return a.withDesk(c.Context(), func(d *intake.Desk) error { return a.find(c.Context(), d, s) })
		},
	}
	f := c.Flags()
	f.IntVar(&s.Limit, "limit", 20, "how many slips at most")
	f.StringVar(&s.Sort, "sort", index.ByMatch, "printed or tested: the newest first by that date, instead of the best match")
	completes(c, "sort", cobra.FixedCompletions([]cobra.Completion{index.ByPrinted, index.ByTested}, cobra.ShellCompDirectiveNoFileComp))
	f.BoolVar(&s.Oldest, "oldest", false, "with --sort: the oldest first")
	f.BoolVar(&s.Facets, "facets", false, "count what was found by site, kind, product, result and month")
	return c
}

// searchText joins the words of a command line. A shell has taken the quotes of a
// phrase away, so an argument with spaces is one again, unless it is the whole
// search.
func searchText(args []string) string {
	if len(args) == 1 {
		return args[0]
	}
	words := make([]string, len(args))
	for i, arg := range args {
		words[i] = arg
		if strings.ContainsAny(arg, " \t") && !strings.Contains(arg, `"`) {
			words[i] = `"` + arg + `"`
		}
	}
	return strings.Join(words, " ")
}

func (a *app) find(ctx context.Context, d *intake.Desk, s index.Search) error {
	got, err := d.Find(ctx, s)
	if err != nil {
		return err
	}
	if a.json {
		doc := intake.NewFindDoc(got)
		for _, h := range doc.Hits {
			if err := a.line(h); err != nil {
				return err
			}
		}
		if s.Facets {
			doc.Hits = nil
			return a.line(doc)
		}
		return nil
	}
	for _, h := range got.Hits {
		a.say("%s page %d slip %d\n", h.Capture, h.Page, h.Slip+1)
		for _, l := range h.Lines {
			a.say("  %s\n", l.Text)
		}
		for _, r := range h.Rows {
			a.say("  %s  %s · %s\n", r.ID, title(r.Record), when(r.At))
		}
	}
	for _, f := range got.Facets {
		var counts []string
		for _, c := range f.Counts {
			counts = append(counts, fmt.Sprintf("%s %d", c.Value, c.Slips))
		}
		if f.More > 0 {
			counts = append(counts, fmt.Sprintf("and %d more", f.More))
		}
		if len(counts) > 0 {
			a.say("%-8s %s\n", f.Name, strings.Join(counts, " · "))
		}
	}
	switch n := got.Total - len(got.Hits); {
	case got.Total == 0:
		a.say("no slip has these words; try fewer, or tankroll ask\n")
	case n > 0:
		a.say("%d more slips; --limit shows more\n", n)
	}
	return nil
}
