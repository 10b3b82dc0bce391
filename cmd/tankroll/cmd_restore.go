package main

import (
	"context"

	"github.com/spf13/cobra"

	"tankroll/archive"
)

func (a *app) restoreCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "restore FILE",
		Short: "make an archive of a backup again, in a new folder",
		Long: `Unpacks a backup into the folder that --archive names, which must be empty or not
there. Every file is compared with its hash and the whole is verified before the
folder gets its name; of a backup that is cut short or damaged nothing is kept.`,
		Args: exactly(1, "one file that tankroll backup wrote"),
		RunE: func(c *cobra.Command, args []string) error { return a.restore(c.Context(), args[0]) },
	}
}

func (a *app) restore(ctx context.Context, file string) error {
	m := a.tally("unpacked")
	note, err := archive.Restore(ctx, file, a.archive, archive.RestoreOptions{Progress: m.bytes, Found: a.wrong(m)})
	m.clear()
	if err != nil {
		return err
	}
	return a.backedUp("restored to "+a.archive+" from", file, note)
}
