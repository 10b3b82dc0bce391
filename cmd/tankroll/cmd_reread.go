package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"tankroll/archive"
	"tankroll/internal/intake"
)

func (a *app) rereadCommand() *cobra.Command {
	var o intake.RereadOptions
	c := &cobra.Command{
		Use:   "reread [ID…]",
		Short: "read again what an older version read, and show what changes",
		Long: `Reads kept pictures again where an older version of the reader or of the grammar
read them: all of them, or those named (c12, or the picture of r87). Where only
the grammar is newer the pictures are not read again, which takes no time.

What people confirmed or corrected stands; where the new reading says otherwise,
that is told. A record that is no longer read counts no longer, unless a person
has decided something about it, and is never deleted. After an interruption the
same command goes on where it stopped.` + limitsHelp,
		RunE: func(c *cobra.Command, ids []string) error {
			return a.withDesk(c.Context(), func(d *intake.Desk) error { return a.reread(c.Context(), d, ids, o) })
		},
	}
	c.Flags().BoolVar(&o.All, "all", false, "read the pictures again whatever version read them")
	c.Flags().BoolVar(&o.Dry, "dry-run", false, "tell what would change, and change nothing")
	a.limits.flags(c)
	return c
}

// rereadSums count what came of it.
type rereadSums struct {
	Read    int            `json:"read"`    // pictures
	Parsed  int            `json:"parsed"`  // pictures whose slips only the grammar looked at
	Failed  int            `json:"failed"`  // pictures, or pages of them
	Records map[string]int `json:"records"` // by what became of them
	Settled int            `json:"settled"` // pictures whose day and month other slips settled
	Dry     bool           `json:"dry_run,omitempty"`
}

func (a *app) reread(ctx context.Context, d *intake.Desk, ids []string, o intake.RereadOptions) error {
	spareMemory()
	sums := rereadSums{Records: map[string]int{}, Dry: o.Dry}
	err := d.Reread(ctx, ids, o, func(x intake.Again) error {
		sums.add(x)
		if x.Err != nil {
			a.fail(x.Captures[0].ID, fmt.Errorf("not read again: %w", x.Err))
		}
		for _, p := range x.Pages {
			a.fail(p.Capture, fmt.Errorf("page %d could not be read again: %s; its earlier reading stands", p.Page, p.Why))
		}
		return a.again(x)
	})
	if err != nil {
		return err
	}
	if !o.Dry {
		if sums.Settled, err = d.Settle(ctx); err != nil {
			return err
		}
		if err := d.CatchUp(ctx); err != nil {
			return err
		}
	}
	if a.json {
		return a.line(struct {
			Summary rereadSums `json:"summary"`
		}{sums})
	}
	a.say("%s\n", sums.words())
	return nil
}

func (s *rereadSums) add(x intake.Again) {
	s.Failed += len(x.Pages)
	switch {
	case x.Err != nil:
		s.Failed += len(x.Captures)
	case x.Picture:
		s.Read += len(x.Captures)
	default:
		s.Parsed += len(x.Captures)
	}
	for _, r := range x.Records {
		s.Records[r.What]++
	}
}

func (s rereadSums) words() string {
	if s.Read+s.Parsed+s.Failed == 0 {
		return "nothing to read again: the newest versions have read all of it"
	}
	parts := []string{}
	for _, p := range []struct {
		n    int
		what string
	}{
		{s.Read, "read again"}, {s.Parsed, "understood anew from the slips kept"}, {s.Failed, "failed"},
	} {
		if p.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", p.n, p.what))
		}
	}
	text := "pictures: " + strings.Join(parts, ", ")
	parts = nil
	for _, what := range []string{archive.NowOther, archive.NowNew, archive.NowGone, archive.NowStays, archive.NowBack, archive.NowAgainst} {
		if n := s.Records[what]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, became(what)))
		}
	}
	if len(parts) == 0 {
		parts = []string{"none changed"}
	}
	text += "; records: " + strings.Join(parts, ", ")
	if s.Settled > 0 {
		text += fmt.Sprintf("; day and month settled by other slips on %d", s.Settled)
	}
	if s.Dry {
		text += "; nothing was kept of this"
	}
	return text
}

// became says in words what a new reading made of a record.
func became(what string) string {
	switch what {
	case archive.NowNew:
		return "found new"
	case archive.NowGone:
		return "no longer read, count no longer"
	case archive.NowStays:
		return "no longer read, stay by a person's decision"
	case archive.NowBack:
		return "read again after all"
	case archive.NowAgainst:
		return "read otherwise than a person decided, which stands"
	}
	return what
}

// again writes what came of one picture, or of several that are one slip.
func (a *app) again(x intake.Again) error {
	var ids []string
	for _, c := range x.Captures {
		ids = append(ids, c.ID)
	}
	if a.json {
		return a.line(againLine(ids, x))
	}
	if len(x.Records) == 0 {
		return nil
	}
	a.say("%s  %s\n", strings.Join(ids, " "), x.Captures[0].File)
	for _, r := range x.Records {
		id := r.ID
		if id == "" {
			id = "(new)"
		}
		a.say("  %s  %s: %s\n", id, title(r.Row.Record), became(r.What))
		if len(r.Changes) > 0 {
			a.say("    %s\n", changeWords(r.Changes))
		}
		for _, c := range r.Against {
			a.say("    ! %s is %s by a person's word; the new reading says %s\n", words(c.Field), orNothing(c.From), orNothing(c.To))
		}
	}
	return nil
}

type againDoc struct {
	Captures []string        `json:"captures"`
	File     string          `json:"file"`
	Picture  bool            `json:"picture"`
	Records  []differenceDoc `json:"records"`
	Pages    []pageErrorDoc  `json:"pages_failed,omitempty"`
	Error    string          `json:"error,omitempty"`
}

type pageErrorDoc struct {
	Capture string `json:"capture"`
	Page    int    `json:"page"`
	Error   string `json:"error"`
}

type differenceDoc struct {
	ID      string      `json:"id,omitempty"` // absent of a new record in a dry run
	Kind    string      `json:"kind"`
	What    string      `json:"what"`
	Changes []changeDoc `json:"changes,omitempty"`
	Against []changeDoc `json:"against,omitempty"`
}

func againLine(ids []string, x intake.Again) againDoc {
	doc := againDoc{Captures: ids, File: x.Captures[0].File, Picture: x.Picture, Records: []differenceDoc{}}
	if x.Err != nil {
		doc.Error = x.Err.Error()
	}
	for _, p := range x.Pages {
		doc.Pages = append(doc.Pages, pageErrorDoc{p.Capture, p.Page, p.Why})
	}
	for _, r := range x.Records {
		doc.Records = append(doc.Records, differenceDoc{r.ID, string(r.Row.Record.Kind), r.What, changeDocs(r.Changes), changeDocs(r.Against)})
	}
	return doc
}
