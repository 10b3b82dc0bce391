package main

import (
	"context"
	"errors"
	"os/user"
	"strings"

	"github.com/spf13/cobra"

	"tankroll/archive"
	"tankroll/internal/intake"
)

// decideCommands are confirm, correct and reject: what a person says of a
// record after looking at its picture. Nothing is edited; each decision is a
// new entry of the journal.
func (a *app) decideCommands() []*cobra.Command {
	var by, note string
	with := func(c *cobra.Command) *cobra.Command {
		c.Flags().StringVar(&by, "by", userName(), "who decides")
		c.Flags().StringVar(&note, "note", "", "a remark kept with the decision")
		return c
	}
	decide := func(c *cobra.Command, x archive.Decision) error {
		x.By, x.Note = by, note
		return a.withDesk(c.Context(), func(d *intake.Desk) error { return a.decide(c.Context(), d, x) })
	}
	return []*cobra.Command{
		with(&cobra.Command{
			Use:   "confirm ID",
			Short: "say that a record stands as the paper has it",
			Args:  exactly(1, "one record, such as r12"),
			RunE: func(c *cobra.Command, args []string) error {
				return decide(c, archive.Decision{Record: args[0], Action: "confirm"})
			},
		}),
		with(&cobra.Command{
			Use:   "correct ID FIELD=VALUE",
			Short: "put a field right; what was read stays in the history",
			Args:  exactly(2, "a record and the field to put right, such as r12 leak_rate=-0.02"),
			RunE: func(c *cobra.Command, args []string) error {
				field, value, ok := strings.Cut(args[1], "=")
				if !ok {
					return usageError{errors.New("write the field to put right as FIELD=VALUE, such as leak_rate=-0.02")}
				}
				return decide(c, archive.Decision{Record: args[0], Action: "correct", Field: field, Value: value})
			},
		}),
		with(&cobra.Command{
			Use:   "reject ID",
			Short: "say that a record is not on the paper; it stays in the history",
			Args:  exactly(1, "one record, such as r12"),
			RunE: func(c *cobra.Command, args []string) error {
				return decide(c, archive.Decision{Record: args[0], Action: "reject"})
			},
		}),
	}
}

func userName() string {
	if u, err := user.Current(); err == nil {
		return u.Username
	}
	return ""
}

func (a *app) decide(ctx context.Context, d *intake.Desk, x archive.Decision) error {
	x.At = d.Now()
	if err := d.Store().Decide(ctx, x); err != nil {
		return err
	}
	if err := d.CatchUp(ctx); err != nil {
		return err
	}
	return a.show(ctx, d, x.Record, "")
}
