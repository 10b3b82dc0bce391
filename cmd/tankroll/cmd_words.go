package main

import (
	"context"
	"encoding/json"
	"fmt"

	"github.com/spf13/cobra"

	"tankroll/archive"
	"tankroll/internal/intake"
)

func (a *app) wordsCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "words",
		Short: "words that a site's slips have of their own: proposed, in use, refused",
		Long: `Lists the words that corrections and confirmations propose for the vocabulary of
their site, and those that were decided about, with what each changes on the slips
that are kept of the site. Nothing is learnt until a person accepts a word. What is
accepted serves slips of its site, kept ones too. What is promoted serves every site
from then on; kept slips of others are read with it by tankroll reread.`,
		Args: exactly(0, "nothing behind it, or accept, refuse, remove or promote and a word"),
		RunE: func(c *cobra.Command, _ []string) error {
			return a.withDesk(c.Context(), func(d *intake.Desk) error { return a.listWords(c.Context(), d) })
		},
	}
	for verdict, short := range map[string]string{
		archive.AcceptWord:  "read slips of the word's site with it from now on",
		archive.RefuseWord:  "do not propose the word again",
		archive.RemoveWord:  "no longer read slips with the word",
		archive.PromoteWord: "read slips of every site with the word",
	} {
		c.AddCommand(a.wordVerdict(verdict, short))
	}
	return c
}

func (a *app) wordVerdict(verdict, short string) *cobra.Command {
	var by, note string
	c := &cobra.Command{
		Use:   verdict + " WORD",
		Short: short,
		Args:  exactly(1, "one word as tankroll words names it, such as w1a2b3c4d"),
		RunE: func(c *cobra.Command, args []string) error {
			return a.withDesk(c.Context(), func(d *intake.Desk) error {
				w, err := d.DecideWord(c.Context(), args[0], verdict, by, note)
				if err != nil {
					return err
				}
				if err := d.CatchUp(c.Context()); err != nil {
					return err
				}
				return a.sayWord(intake.WordChange{Word: w})
			})
		},
	}
	c.Flags().StringVar(&by, "by", userName(), "who decides")
	c.Flags().StringVar(&note, "note", "", "a remark kept with the decision")
	return c
}

func (a *app) listWords(ctx context.Context, d *intake.Desk) error {
	all, err := d.Words(ctx)
	if err != nil {
		return err
	}
	if len(all) == 0 && !a.json {
		fmt.Fprintln(a.out, "no words: corrections and confirmations have proposed none")
	}
	for _, w := range all {
		if err := a.sayWord(w); err != nil {
			return err
		}
	}
	return nil
}

// wordSaid is a word in words.
var wordSaid = map[string]string{
	"": "proposed", archive.AcceptWord: "in use", archive.RefuseWord: "refused", archive.RemoveWord: "removed", archive.PromoteWord: "in use at every site",
}

// wordLine is a word in JSON.
type wordLine struct {
	ID       string   `json:"id"`
	State    string   `json:"state"` // proposed accept refuse remove promote
	Site     string   `json:"site"`
	Sense    string   `json:"sense"`
	Code     string   `json:"code"`
	Spelling string   `json:"spelling"`
	From     string   `json:"from,omitempty"`
	By       string   `json:"by,omitempty"`
	Note     string   `json:"note,omitempty"`
	Slips    int      `json:"slips"`
	Changed  int      `json:"changed"`
	Changes  []string `json:"changes,omitempty"`
}

func (a *app) sayWord(w intake.WordChange) error {
	if a.json {
		state := w.Verdict
		if state == "" {
			state = "proposed"
		}
		return json.NewEncoder(a.out).Encode(wordLine{w.ID(), state, w.Site, w.Sense, w.Code, w.Spelling, w.From, w.By, w.Note, w.Slips, w.Changed, w.Changes})
	}
	fmt.Fprintf(a.out, "%s  %s  site %s: %q means %s %s", w.ID(), wordSaid[w.Verdict], w.Site, w.Spelling, w.Sense, w.Code)
	if w.From != "" {
		fmt.Fprintf(a.out, " (from %s, by %s)", w.From, w.By)
	}
	fmt.Fprintln(a.out)
	if w.Slips > 0 {
		fmt.Fprintf(a.out, "    with it %d of %d kept slips of the site say something else\n", w.Changed, w.Slips)
	}
	for _, c := range w.Changes {
		fmt.Fprintf(a.out, "    %s\n", c)
	}
	return nil
}
