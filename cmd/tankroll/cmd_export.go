package main

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"tankroll/archive"
	"tankroll/export"
	"tankroll/internal/intake"
	"tankroll/record"
)

func (a *app) exportCommand() *cobra.Command {
	var as, kind string
	var force bool
	var f archive.Filter
	c := &cobra.Command{
		Use:   "export DIR|FILE",
		Short: "write records as CSV, JSON Lines or a folder with the pictures",
		Long: `Writes the records as they stand now, with what people decided.

  --as csv     a new folder with one CSV a kind of record, for spreadsheets
  --as jsonl   a file with one record a line, as JSON
  --as folder  a new folder with the pictures, the records as JSON Lines and CSV
               by site and year, and index.html, which any browser opens: each
               record beside its part of the picture

Text in CSV that a spreadsheet would take for a formula gets an apostrophe in
front. Doubtful records are written too and say so; rejected ones are left out.`,
		Args: exactly(1, "one place to write to: a new folder, or for --as jsonl a file"),
		RunE: func(c *cobra.Command, args []string) error {
			var err error
			if f.Kind, err = kindNamed(kind); err != nil {
				return err
			}
			for flag, day := range map[string]string{"from": f.From, "to": f.To} {
				if err := isDay(flag, day); err != nil {
					return err
				}
			}
			return a.export(c.Context(), as, args[0], force, f)
		},
	}
	a.limits.flags(c)
	fl := c.Flags()
	fl.StringVar(&as, "as", "", "csv, jsonl or folder")
	fl.StringVar(&f.Site, "site", "", "number or name of one site; all when empty")
	completes(c, "site", a.completeSites)
	fl.StringVar(&f.From, "from", "", "first day, as 2026-01-31")
	fl.StringVar(&f.To, "to", "", "last day")
	fl.StringVar(&kind, "kind", "", "one kind, such as tank_test; all when empty")
	fl.BoolVar(&force, "force", false, "replace the file of --as jsonl when there is one")
	return c
}

func kindNamed(s string) (record.Kind, error) {
	k := record.Kind(strings.ReplaceAll(s, " ", "_"))
	if k != "" && !slices.Contains(record.Kinds(), k) {
		return "", usageError{fmt.Errorf("--kind %q is no kind of record; choose of %v", s, record.Kinds())}
	}
	return k, nil
}

func isDay(flag, s string) error {
	if s == "" {
		return nil
	}
	if _, err := time.Parse(day, s); err != nil {
		return usageError{fmt.Errorf("--%s %q is not a day; write it as 2026-01-31", flag, s)}
	}
	return nil
}

func (a *app) export(ctx context.Context, as, to string, force bool, f archive.Filter) error {
	var write func(*intake.Desk) (int, error)
	m := a.tally("records")
	switch as {
	case "csv":
		write = func(d *intake.Desk) (int, error) { return export.CSV(ctx, d.Store(), to, f) }
	case "jsonl":
		write = func(d *intake.Desk) (int, error) { return export.JSONL(ctx, d.Store(), to, force, f) }
	case "folder":
		write = func(d *intake.Desk) (int, error) {
			return export.Folder(ctx, d.Store(), to, export.FolderOptions{Filter: f, Cut: d.Cutter().Cut, Progress: m.things})
		}
	default:
		return usageError{fmt.Errorf("--as %q is no form; choose csv, jsonl or folder", as)}
	}
	return a.withDesk(ctx, func(d *intake.Desk) error {
		n, err := write(d)
		m.clear()
		if err != nil {
			return err
		}
		if a.json {
			return a.line(struct {
				To      string `json:"to"`
				As      string `json:"as"`
				Records int    `json:"records"`
			}{to, as, n})
		}
		a.say("%s written to %s\n", counted(int64(n), "record"), to)
		return nil
	})
}
