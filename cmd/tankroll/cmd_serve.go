package main

import (
	"context"
	"fmt"
	"log/slog"
	"net"
	"runtime/debug"
	"time"

	"github.com/rs/zerolog"
	"github.com/spf13/cobra"

	"tankroll/internal/intake"
	"tankroll/ocr"
	"tankroll/parse"
	"tankroll/web"
)

func (a *app) serveCommand() *cobra.Command {
	var listen string
	var hosts []string
	c := &cobra.Command{
		Use:   "serve",
		Short: "serve the pages for a phone and the desk",
		Long: `Serves pages on which a printout is photographed, its reading checked beside
the picture, questions asked and coverage shown.

It listens on this machine alone unless --listen names another address. There
is no sign-in yet: whoever reaches the address can see and change the records,
so open it only to a network you trust.` + limitsHelp,
		Args: exactly(0, "no arguments; --listen chooses the address"),
		RunE: func(c *cobra.Command, _ []string) error {
			return a.withNewDesk(c.Context(), func(d *intake.Desk) error {
				return a.serve(c.Context(), d, listen, web.Options{Hosts: hosts, Limits: a.webLimits(c)})
			})
		},
	}
	a.limits.flags(c)
	c.Flags().StringVar(&listen, "listen", "127.0.0.1:8370", "address and port")
	c.Flags().StringSliceVar(&hosts, "host", nil, "name under which the pages may be asked for, besides localhost and addresses in numbers")
	return c
}

func (a *app) serve(ctx context.Context, d *intake.Desk, listen string, opt web.Options) error {
	if err := d.Resume(ctx); err != nil {
		return err
	}
	if _, err := d.Settle(ctx); err != nil {
		return err
	}
	l, err := net.Listen("tcp", listen)
	if err != nil {
		return fmt.Errorf("cannot listen on %s (%w); choose another with --listen", listen, err)
	}
	if !loopback(l.Addr()) {
		a.problem("", fmt.Errorf("listening on %s: whoever reaches this address can see and change the records", l.Addr()))
	}
	log := slog.New(zerolog.NewSlogHandler(a.log))
	opt.Log = log
	s := web.Server(web.New(web.Stand(d), opt))
	a.say("open http://%s in a browser; Ctrl-C ends it\n", l.Addr())
	done := make(chan error, 1)
	go func() { done <- s.Serve(l) }()
	renewed := a.renewIndex(ctx, d)
	defer renewed()
	select {
	case err = <-done:
		return err
	case <-ctx.Done():
	}
	// What is being uploaded gets a moment to be kept whole.
	end, cancel := context.WithTimeout(context.WithoutCancel(ctx), 10*time.Second)
	defer cancel()
	return s.Shutdown(end)
}

// renewIndex makes an index anew that an older version of the program made, while
// the old one answers; wait ends when that is done or the program is.
func (a *app) renewIndex(ctx context.Context, d *intake.Desk) (wait func()) {
	ctx, stop := context.WithCancel(ctx)
	done := make(chan struct{})
	go func() {
		defer close(done)
		if err := d.CatchUp(ctx); err != nil && ctx.Err() == nil {
			a.log.Error().Err(err).Msg("the index could not be made anew, questions may fail")
		}
	}()
	return func() {
		stop()
		<-done
	}
}

// webLimits is what may be sent: as much as the pages allow of themselves, or what
// was asked for.
func (a *app) webLimits(c *cobra.Command) web.Limits {
	if !c.Flags().Changed("max-mb") {
		return web.Limits{}
	}
	return web.Limits{FileBytes: a.limits.ocr().Bytes}
}

func loopback(addr net.Addr) bool {
	t, ok := addr.(*net.TCPAddr)
	return ok && t.IP.IsLoopback()
}

func (a *app) reindexCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "reindex",
		Short: "make the index again from the archive",
		Args:  exactly(0, "no arguments"),
		RunE: func(c *cobra.Command, _ []string) error {
			return a.withDesk(c.Context(), func(d *intake.Desk) error {
				if err := d.Reindex(c.Context()); err != nil {
					return err
				}
				a.say("the index was made again\n")
				return nil
			})
		},
	}
}

func (a *app) versionCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "say which version this is",
		Args:  exactly(0, "no arguments"),
		RunE: func(*cobra.Command, []string) error {
			build := "not recorded"
			if info, ok := debug.ReadBuildInfo(); ok {
				build = info.Main.Version
			}
			a.say("tankroll %s, reader %d, grammar %d\n", build, ocr.Version, parse.Version)
			return nil
		},
	}
}
