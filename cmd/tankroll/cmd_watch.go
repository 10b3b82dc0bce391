package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"tankroll/internal/intake"
)

func (a *app) watchCommand() *cobra.Command {
	var o importFlags
	var w intake.WatchOptions
	var brief bool
	c := &cobra.Command{
		Use:   "watch FOLDER…",
		Short: "take in what an office scanner puts into a folder",
		Long: `Looks through folders again and again and takes in each picture or ZIP that has
come to rest there, as tankroll add does, until Ctrl-C. Folders on network shares
do as well; one that is gone for a while is waited for.

A file is taken when its size and time have not changed for --still and it can be
opened to its end; one that looks incomplete is given --patience before it is
taken for damaged. Files are left as and where they are. With --move-to DIR a file
is moved there when the archive has acknowledged it; what was not kept stays where
it is, is told once and listed by tankroll todo.` + foldersHelp + limitsHelp,
		Args: atLeast(1, "at least one folder to watch"),
		RunE: func(c *cobra.Command, dirs []string) error {
			a.brief = brief
			return a.importing(c.Context(), &o, func(d *intake.Desk, _ *meter) error { return a.watch(c.Context(), d, dirs, &o, w) })
		},
	}
	o.flags(c)
	completes(c, "site", a.completeSites)
	a.limits.flags(c)
	f := c.Flags()
	f.DurationVar(&w.Every, "every", 2*time.Second, "time between two looks")
	f.DurationVar(&w.Still, "still", 5*time.Second, "for how long a file must not have changed")
	f.DurationVar(&w.Patience, "patience", time.Minute, "the same for one that looks incomplete")
	f.StringVar(&w.MoveTo, "move-to", "", "folder that files are moved to when they are kept")
	f.BoolVar(&brief, "brief", true, "show one line a record; doubtful fields are counted, not listed")
	return c
}

func (a *app) watch(ctx context.Context, d *intake.Desk, dirs []string, o *importFlags, w intake.WatchOptions) error {
	opts, err := o.options(a.page, nil)
	if err != nil {
		return err
	}
	if !a.json {
		a.say("watching %d folder(s); Ctrl-C ends it\n", len(dirs))
	}
	w.Say = a.problem
	seen, err := d.Store().Seq(ctx)
	if err != nil {
		return err
	}
	w.After = func(ctx context.Context) error {
		err := errors.Join(a.settle(ctx, d), a.twins(ctx, d, seen), d.CatchUp(ctx))
		if err == nil {
			seen, err = d.Store().Seq(ctx)
		}
		return err
	}
	in := d.Import(ctx, opts)
	err = in.Watch(ctx, dirs, w)
	if errors.Is(err, context.Canceled) && ctx.Err() != nil { // that is how watching ends
		a.failed, err = false, nil
	}
	if err = errors.Join(err, in.Close(ctx)); err != nil {
		return fmt.Errorf("watching has ended: %w", err)
	}
	return nil
}
