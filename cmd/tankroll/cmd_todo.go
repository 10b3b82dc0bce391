package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"tankroll/internal/intake"
)

func (a *app) todoCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "todo",
		Short: "list what waits, what could not be read and what is doubtful",
		Long: `Lists the pictures that are kept and not read yet, the pages that could not be
read, the pictures with doubtful records, records that may be one with another,
and files of watched folders that were not taken. With --json, one document a line.

A picture that failed is read once more when its file is added again; records can
be typed in with tankroll enter. What is confirmed or corrected is no longer
doubtful (tankroll confirm, tankroll correct, or the pages of tankroll serve).`,
		Args: exactly(0, "no arguments"),
		RunE: func(c *cobra.Command, _ []string) error {
			return a.withDesk(c.Context(), func(d *intake.Desk) error { return a.todo(c.Context(), d) })
		},
	}
}

// todoTitles head the parts of the list.
var todoTitles = map[string]string{
	intake.TodoWaiting:  "kept and not read yet; tankroll add reads them",
	intake.TodoFailed:   "could not be read",
	intake.TodoDoubtful: "with doubtful records",
	intake.TodoAlike:    "may be one with another; tankroll same shows how they differ",
	intake.TodoRefused:  "files of watched folders that were not taken",
}

func (a *app) todo(ctx context.Context, d *intake.Desk) error {
	list, err := d.Todo(ctx)
	if err != nil {
		return err
	}
	if a.json {
		for _, t := range list {
			if err := a.line(t); err != nil {
				return err
			}
		}
		return nil
	}
	if len(list) == 0 {
		a.say("nothing is left to look at\n")
	}
	part := ""
	for _, t := range list {
		if t.Why != part {
			part = t.Why
			a.say("%s\n", todoTitles[part])
		}
		a.say("  %s\n", todoLine(t))
	}
	return nil
}

func todoLine(t intake.Todo) string {
	s := t.File
	if t.Capture != "" {
		s = t.Capture + "  " + s
	}
	if t.Page > 1 {
		s += fmt.Sprintf(", page %d", t.Page)
	}
	if t.Reason != "" {
		s += ": " + t.Reason
	}
	if len(t.Records) > 0 {
		s += ": " + strings.Join(t.Records, " ")
	}
	return s
}
