package main

import (
	"context"
	"errors"
	"os"
	"os/user"
	"strings"

	"github.com/spf13/cobra"

	"tankroll/archive"
	"tankroll/internal/intake"
)

// decision makes a command by which a person says something of a record after
// looking at its picture. Nothing is edited; each decision is a new entry of the
// journal. Make fills it from the arguments.
func (a *app) decision(c *cobra.Command, make func(args []string, d *archive.Decision) error) *cobra.Command {
	var by, note string
	c.Flags().StringVar(&by, "by", userName(), "who decides")
	c.Flags().StringVar(&note, "note", "", "a remark kept with the decision")
	c.RunE = func(c *cobra.Command, args []string) error {
		x := archive.Decision{By: by, Note: note}
		if err := make(args, &x); err != nil {
			return err
		}
		return a.withDesk(c.Context(), func(d *intake.Desk) error { return a.decide(c.Context(), d, x) })
	}
	return c
}

// decideCommands are confirm, correct, reject and undo.
func (a *app) decideCommands() []*cobra.Command {
	return []*cobra.Command{
		a.decision(&cobra.Command{
			Use:   "confirm ID",
			Short: "say that a record stands as the paper has it",
			Args:  exactly(1, "one record, such as r12"),
		}, func(args []string, d *archive.Decision) error {
			d.Record, d.Action = args[0], archive.Confirm
			return nil
		}),
		a.decision(&cobra.Command{
			Use:   "correct ID FIELD=VALUE",
			Short: "put a field right; what was read stays in the history",
			Args:  exactly(2, "a record and the field to put right, such as r12 leak_rate=-0.02"),
		}, func(args []string, d *archive.Decision) error {
			field, value, ok := strings.Cut(args[1], "=")
			if !ok {
				return usageError{errors.New("write the field to put right as FIELD=VALUE, such as leak_rate=-0.02")}
			}
			d.Record, d.Action, d.Field, d.Value = args[0], archive.Correct, field, value
			return nil
		}),
		a.decision(&cobra.Command{
			Use:   "reject ID",
			Short: "say that a record is not on the paper; it stays in the history",
			Args:  exactly(1, "one record, such as r12"),
		}, func(args []string, d *archive.Decision) error {
			d.Record, d.Action = args[0], archive.Reject
			return nil
		}),
		a.decision(&cobra.Command{
			Use:   "undo ID",
			Short: "take the newest decision about a record back; both stay in the history",
			Args:  exactly(1, "one record, such as r12"),
		}, func(args []string, d *archive.Decision) error {
			d.Record, d.Action = args[0], archive.Undo
			return nil
		}),
	}
}

// userName is who works here, unless --by says otherwise: $TANKROLL_BY, else the
// user of the machine.
func userName() string {
	if by := os.Getenv("TANKROLL_BY"); by != "" {
		return by
	}
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
