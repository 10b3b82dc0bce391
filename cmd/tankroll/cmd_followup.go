package main

import (
	"github.com/spf13/cobra"

	"tankroll/archive"
)

func (a *app) followUpCommand() *cobra.Command {
	return a.decision(&cobra.Command{
		Use:   "follow-up ID WHAT",
		Short: "note what was done about a record, such as a failed test reported",
		Long: `Notes in the journal what was done about what a record says:

  tankroll follow-up r12 "reported to the agency by telephone, A. Reyes"

The newest word stands with the record, all of them in its history.`,
		Args: exactly(2, `a record and what was done, such as r12 "reported to the agency"`),
	}, func(args []string, d *archive.Decision) error {
		d.Record, d.Action, d.Note = args[0], archive.FollowUp, args[1]
		return nil
	})
}
