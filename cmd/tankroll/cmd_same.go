package main

import (
	"context"
	"errors"
	"strings"

	"github.com/spf13/cobra"

	"tankroll/archive"
	"tankroll/internal/intake"
)

// sameCommands are same and differ: whether two pictures show one record.
func (a *app) sameCommands() []*cobra.Command {
	pair := func(action string) func(args []string, d *archive.Decision) error {
		return func(args []string, d *archive.Decision) error {
			d.Record, d.Action, d.Other = args[0], action, args[1]
			return nil
		}
	}
	same := a.decision(&cobra.Command{
		Use:   "same [ID ID]",
		Short: "say that two records are one, on two pictures; alone, list what may be",
		Long: `Says that two records are one and the same: a printout photographed twice, or
a result printed again. They then count once, with both pictures.

Where all that tells events apart was read surely on both and is equal, they are
one without asking. What nearly agrees is listed by tankroll same alone.
tankroll differ takes it back.`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 0 && len(args) != 2 {
				return usageError{errors.New("name two records, such as r12 r40, or none to list those that may be one")}
			}
			return nil
		},
	}, pair(archive.Same))
	say := same.RunE
	same.RunE = func(c *cobra.Command, args []string) error {
		if len(args) > 0 {
			return say(c, args)
		}
		return a.withDesk(c.Context(), func(d *intake.Desk) error { return a.listAlike(c.Context(), d) })
	}
	differ := a.decision(&cobra.Command{
		Use:   "differ ID ID",
		Short: "say that two records are two, however alike; tankroll same takes it back",
		Args:  exactly(2, "two records, such as r12 r40"),
	}, pair(archive.Differ))
	return []*cobra.Command{same, differ}
}

func (a *app) listAlike(ctx context.Context, d *intake.Desk) error {
	found := false
	err := d.Store().EachAlike(ctx, 0, func(x archive.Alike) error {
		found = true
		if a.json {
			return a.line(alikeLine(x))
		}
		a.say("%s  %s · %s\n", x.A.ID, title(x.A.Record), when(x.A.At))
		a.alike(x, x.A.ID)
		return nil
	})
	if err == nil && !found && !a.json {
		a.say("no records nearly agree; those that surely agree are one already\n")
	}
	return err
}

// alike says what a record may be one with, and what to do.
func (a *app) alike(x archive.Alike, id string) {
	other := x.A.ID
	if other == id {
		other = x.B.ID
	}
	var fields []string
	for _, c := range x.Differ {
		fields = append(fields, words(c.Field)+" "+orNothing(c.From)+" or "+orNothing(c.To))
	}
	differ := strings.Join(fields, ", ")
	if differ == "" {
		differ = "they say the same, and neither surely enough"
	}
	a.say("  ? may be one with %s: %s\n", other, differ)
	a.say("    tankroll same %s %s, or tankroll differ %s %s\n", x.A.ID, x.B.ID, x.A.ID, x.B.ID)
}

// twins says which of the records that came since a count of changes may be one
// with another.
func (a *app) twins(ctx context.Context, d *intake.Desk, since int64) error {
	n := 0
	err := d.Store().EachAlike(ctx, since, func(x archive.Alike) error {
		if n++; n <= mostListed && !a.json {
			a.say("%s  %s · %s\n", x.B.ID, title(x.B.Record), when(x.B.At))
			a.alike(x, x.B.ID)
		}
		return nil
	})
	if n > mostListed && !a.json {
		a.say("and %d more that may be one; tankroll same lists all\n", n-mostListed)
	}
	return err
}

type alikeDoc struct {
	A      string      `json:"a"`
	B      string      `json:"b"`
	Differ []changeDoc `json:"differ"`
}

func alikeLine(x archive.Alike) alikeDoc { return alikeDoc{x.A.ID, x.B.ID, changeDocs(x.Differ)} }
