package main

import (
	"strings"

	"github.com/spf13/cobra"

	"tankroll/archive"
	"tankroll/internal/intake"
)

func (a *app) siteCommand() *cobra.Command {
	var by, note string
	c := &cobra.Command{
		Use:   "site ID SITE",
		Short: "say which site a record (r…) or all of a picture (c…) is from",
		Long: `Links a record, or everything on a kept picture, to a site: its number, or its
name in quotes. What is said of a record stands above what is said of its
picture, and both above what was read. An empty SITE ("") takes the link of a
picture back; that of a record is taken back with tankroll undo.`,
		Args: exactly(2, "a record or capture and its site, such as c3 114"),
		RunE: func(c *cobra.Command, args []string) error {
			ctx := c.Context()
			x := archive.Decision{Record: args[0], Value: args[1], By: by, Note: note}
			return a.withDesk(ctx, func(d *intake.Desk) error {
				if !strings.HasPrefix(x.Record, "c") {
					x.Action, x.Field = archive.Correct, archive.SiteField(x.Value)
					return a.decide(ctx, d, x)
				}
				x.At = d.Now()
				if err := d.Store().LinkSite(ctx, x); err != nil {
					return err
				}
				if err := d.CatchUp(ctx); err != nil {
					return err
				}
				return a.show(ctx, d, x.Record, "")
			})
		},
	}
	c.Flags().StringVar(&by, "by", userName(), "who decides")
	c.Flags().StringVar(&note, "note", "", "a remark kept with the decision")
	return c
}
