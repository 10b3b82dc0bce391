package main

import (
	"context"
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
		Args: atLeast(1, "the question, in quotes"),
		RunE: func(c *cobra.Command, args []string) error {
			return a.withDesk(c.Context(), func(d *intake.Desk) error { return a.ask(c.Context(), d, strings.Join(args, " ")) })
		},
	}
}

// answerLine is one answer as scripts get it: plain values and the place on
// the picture.
type answerLine struct {
	ID      string         `json:"id"`
	Kind    record.Kind    `json:"kind"`
	Site    string         `json:"site"`
	At      string         `json:"at,omitempty"`
	Fields  map[string]any `json:"fields"`
	Capture string         `json:"capture,omitempty"`
	File    string         `json:"file,omitempty"`
	Page    int            `json:"page,omitempty"`
	Slip    int            `json:"slip"`
	Box     record.Box     `json:"box"`
	Sure    bool           `json:"sure"`
	ByHand  bool           `json:"by_hand,omitempty"`
	One     string         `json:"one,omitempty"`      // the record that counts, when this is one with it
	With    []string       `json:"one_with,omitempty"` // the same record on other pictures
	Gone    bool           `json:"gone,omitempty"`     // a newer reading does not show it
	Follow  string         `json:"followed_up,omitempty"`
}

func answer(r archive.Row) answerLine {
	area := r.Record.Area()
	on := r.On(area)
	l := answerLine{r.ID, r.Record.Kind, r.Site, r.At, map[string]any{}, on.Capture, on.File, on.Page, on.Slip, area, r.Sure(), r.ByHand, r.One, r.With, r.Gone, r.Followed}
	for name, f := range r.Record.Fields {
		l.Fields[name] = f.Value
	}
	return l
}

func (a *app) ask(ctx context.Context, d *intake.Desk, question string) error {
	got, err := d.Ask(ctx, question)
	if err != nil {
		return err
	}
	if a.json {
		answers := []answerLine{}
		for _, r := range got.Rows {
			answers = append(answers, answer(r))
		}
		return a.line(struct {
			Question   string       `json:"question"`
			Understood any          `json:"understood"`
			Total      int          `json:"total"`
			Answers    []answerLine `json:"answers"`
			Why        string       `json:"why,omitempty"`
		}{question, got.Query, got.Total, answers, got.Why})
	}
	return a.sayAnswer(ctx, d, got)
}

func (a *app) sayAnswer(ctx context.Context, d *intake.Desk, got index.Answer) error {
	a.say("understood: %s\n", got.Query.String())
	if len(got.Query.NotUnderstood) > 0 {
		a.say("not understood: %s\n", strings.Join(got.Query.NotUnderstood, ", "))
	}
	if got.Why != "" {
		a.say("%s\n", got.Why)
	}
	for _, r := range got.Rows {
		a.say("\n")
		if err := a.row(ctx, d, r); err != nil {
			return err
		}
	}
	if n := got.Total - len(got.Rows); n > 0 && len(got.Rows) > 0 {
		a.say("\nand %d more that fit; ask for more by number, such as \"last 10\"\n", n)
	}
	return nil
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

func (a *app) findCommand() *cobra.Command {
	var limit int
	c := &cobra.Command{
		Use:   "find WORDS…",
		Short: "find printed words, even misread ones",
		Long: `Finds slips by the words printed on them; letters that readers confuse (0 and
O, 1 and I, 5 and S …) meet. "words in quotes" stand together, -word leaves
slips out.`,
		Args: atLeast(1, "words to find"),
		RunE: func(c *cobra.Command, args []string) error {
			return a.withDesk(c.Context(), func(d *intake.Desk) error {
				return a.find(c.Context(), d, strings.Join(args, " "), limit)
			})
		},
	}
	c.Flags().IntVar(&limit, "limit", 20, "how many slips at most")
	return c
}

func (a *app) find(ctx context.Context, d *intake.Desk, text string, limit int) error {
	hits, err := d.Find(ctx, text, limit)
	if err != nil {
		return err
	}
	for _, h := range hits {
		if a.json {
			if err := a.line(hitLine(h)); err != nil {
				return err
			}
			continue
		}
		a.say("%s page %d slip %d\n", h.Capture, h.Page, h.Slip+1)
		for _, l := range h.Lines {
			a.say("  %s\n", l.Text)
		}
		for _, r := range h.Rows {
			a.say("  %s  %s · %s\n", r.ID, title(r.Record), when(r.At))
		}
	}
	if len(hits) == 0 && !a.json {
		a.say("no slip has these words; try fewer, or tankroll ask\n")
	}
	return nil
}

// hit is one slip found as scripts get it.
type hit struct {
	Capture string       `json:"capture"`
	Page    int          `json:"page"`
	Slip    int          `json:"slip"`
	Lines   []hitText    `json:"lines"`
	Records []answerLine `json:"records"`
}

type hitText struct {
	Text string     `json:"text"`
	Box  record.Box `json:"box"`
}

func hitLine(h index.Hit) hit {
	out := hit{h.Capture, h.Page, h.Slip, []hitText{}, []answerLine{}}
	for _, l := range h.Lines {
		out.Lines = append(out.Lines, hitText{l.Text, l.Box})
	}
	for _, r := range h.Rows {
		out.Records = append(out.Records, answer(r))
	}
	return out
}
