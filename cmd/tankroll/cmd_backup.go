package main

import (
	"context"

	"github.com/spf13/cobra"

	"tankroll/archive"
)

func (a *app) backupCommand() *cobra.Command {
	var o archive.BackupOptions
	c := &cobra.Command{
		Use:   "backup FILE",
		Short: "write the whole archive into one file, checked",
		Long: `Writes every original, what was read and what people decided into one file, as it
stands at one moment; others may go on adding meanwhile. The archive is checked on
the way as verify does, and the file is read back before it gets its name.

The file is a plain ZIP that any program can take apart; tankroll restore makes an
archive of it again. Keep it on another disk.`,
		Args: exactly(1, "one file to write, such as /media/stick/tankroll-2026-11.zip"),
		RunE: func(c *cobra.Command, args []string) error { return a.backup(c.Context(), args[0], o) },
	}
	c.Flags().BoolVar(&o.Force, "force", false, "replace the file when there is one")
	c.Flags().BoolVar(&o.Damaged, "damaged", false, "back up what is whole of a damaged archive, and say what is not")
	return c
}

func (a *app) backup(ctx context.Context, file string, o archive.BackupOptions) error {
	m := a.tally("written")
	o.Progress, o.Found = m.bytes, a.wrong(m)
	note, err := archive.Backup(ctx, a.archive, file, o)
	m.clear()
	if err != nil {
		return err
	}
	return a.backedUp("backed up to", file, note)
}

// backupLine is what backup and restore tell scripts.
type backupLine struct {
	File string `json:"file"`
	archive.BackupNote
}

func (a *app) backedUp(did, file string, n archive.BackupNote) error {
	if a.json {
		return a.line(backupLine{file, n})
	}
	a.say("%s %s: %s, %s of originals, %s, as of %s; every file checked\n", did, file,
		counted(n.Captures, "capture"), size(n.Bytes), counted(n.Records, "record"), n.MadeAt.Local().Format("2006-01-02 15:04"))
	if n.Damaged {
		a.say("it is of a damaged archive; %s left out\n", counted(int64(len(n.LeftOut)), "original"))
	}
	if n.Head != "" {
		a.say("journal head %s\n", n.Head)
	}
	return nil
}
