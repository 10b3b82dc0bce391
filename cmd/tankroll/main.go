// Command tankroll reads printouts of tank gauge consoles from pictures, keeps
// them, answers questions about them and shows what is covered, missing or
// due. `tankroll help` lists the commands; each stands in a file of its own.
package main

import (
	"context"
	"errors"
	"io"
	"os"
	"os/signal"
	"syscall"

	"github.com/rs/zerolog"
	"github.com/spf13/cobra"

	"tankroll/ocr"
)

// The exit codes, the same for every command.
const (
	exitDone   = 0
	exitFailed = 1 // some input could not be read or kept, or nothing could be done
	exitUsage  = 2 // the command line was wrong
)

func main() {
	ocr.RunWorkerIfAsked()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// app is what the commands share: where the archive is and how to speak.
type app struct {
	archive string
	json    bool
	verbose bool
	brief   bool // a line a record instead of every field
	in      io.Reader
	out     io.Writer
	err     io.Writer
	log     zerolog.Logger
	limits  limits
	failed  bool // some input failed and was told of; the exit code says so
}

// run is the whole program with its surroundings passed in, so that tests run
// it without a process.
func run(ctx context.Context, args []string, in io.Reader, out, errs io.Writer) int {
	a := &app{in: in, out: out, err: errs}
	root := a.root()
	root.SetArgs(args)
	root.SetIn(in)
	root.SetOut(out)
	root.SetErr(errs)
	err := root.ExecuteContext(ctx)
	switch {
	case err == nil && !a.failed:
		return exitDone
	case err == nil:
		return exitFailed
	case ctx.Err() != nil:
		a.problem("", errors.New("interrupted; what was acknowledged is kept, run the same command again to go on"))
		return exitFailed
	}
	var wrong usageError
	if errors.As(err, &wrong) {
		a.problem("", err)
		return exitUsage
	}
	a.problem("", err)
	return exitFailed
}

// usageError marks an error of the command line.
type usageError struct{ error }

func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "tankroll",
		Short: "from printed gauge slips to records that answer questions",
		Long: `tankroll reads pictures of the printouts of tank gauge consoles, keeps the
pictures as evidence and the results as records, answers questions about them
and shows which tests are covered, missing or due.

The paper, and your state's rules, stand above what this program says.

Exit status: 0 done, 1 some input could not be read or kept, 2 wrong usage.`,
		SilenceErrors: true,
		SilenceUsage:  true,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usageError{errUnknown(args[0])}
			}
			return nil
		},
		RunE: func(c *cobra.Command, _ []string) error { return c.Help() },
		PersistentPreRunE: func(*cobra.Command, []string) error {
			if a.archive == "" { // as from a variable of a script that is not set
				return usageError{errors.New("--archive is empty; name the archive's folder, or leave it out")}
			}
			level := zerolog.WarnLevel
			if a.verbose {
				level = zerolog.DebugLevel
			}
			a.log = zerolog.New(zerolog.ConsoleWriter{Out: a.err, NoColor: true}).Level(level).With().Timestamp().Logger()
			return nil
		},
	}
	root.CompletionOptions.HiddenDefaultCmd = true
	f := root.PersistentFlags()
	f.StringVar(&a.archive, "archive", defaultArchive(), "folder of the archive")
	f.BoolVar(&a.json, "json", false, "write JSON, one document a line, for scripts")
	f.BoolVarP(&a.verbose, "verbose", "v", false, "say what is being done, on standard error")
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return usageError{err} })
	root.AddCommand(a.readCommand(), a.addCommand(), a.watchCommand(), a.todoCommand(), a.enterCommand(), a.askCommand(), a.findCommand(), a.showCommand(),
		a.historyCommand(), a.rereadCommand(), a.siteCommand(), a.wordsCommand(), a.followUpCommand(), a.coverageCommand(), a.reindexCommand(),
		a.verifyCommand(), a.backupCommand(), a.restoreCommand(), a.exportCommand(), a.retentionCommand(), a.serveCommand(), a.versionCommand())
	root.AddCommand(a.decideCommands()...)
	root.AddCommand(a.sameCommands()...)
	return root
}

// defaultArchive is $TANKROLL_ARCHIVE, else tankroll-archive in the working
// folder.
func defaultArchive() string {
	if dir := os.Getenv("TANKROLL_ARCHIVE"); dir != "" {
		return dir
	}
	return "tankroll-archive"
}
