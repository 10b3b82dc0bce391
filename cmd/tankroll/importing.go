package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"runtime"
	"runtime/debug"

	"github.com/spf13/cobra"

	"tankroll/internal/intake"
	"tankroll/ocr"
	"tankroll/record"
)

// importFlags are the flags of commands that take many pictures in.
type importFlags struct {
	site    string
	folders string
	jobs    int
	memory  int
}

const foldersHelp = `

Where binders were scanned into folders, --folders says what their names mean,
level by level below the folder that is added: --folders '{site}/{year}/{month}',
or 'Station {site}/*/{year}-{month}'; * is any name. Such a name is a hint: what
the paper surely says stands, a contradiction is marked as a doubt, a site that
the paper does not name is taken from the folder, and of a date only the order of
day and month is, in doubt. No date is ever taken from a folder.`

// The memory that an import is given unless told otherwise, and the least that
// reads anything, in MB.
const (
	usualMemory = 1000
	leastMemory = 300
)

func (o *importFlags) flags(c *cobra.Command) {
	f := c.Flags()
	f.StringVar(&o.site, "site", "", "number of the site they come from, where the paper does not say it")
	f.StringVar(&o.folders, "folders", "", "what the names of folders mean, such as '{site}/{year}/{month}'")
	f.IntVar(&o.jobs, "jobs", 0, "pages read at once; 0 means one a processor")
	f.IntVar(&o.memory, "memory", usualMemory, "memory in MB that all of it may take; large pages wait for each other")
}

// options are the options of the import.
func (o *importFlags) options(page func(record.Page) error, done func(intake.Outcome)) (intake.ImportOptions, error) {
	out := intake.ImportOptions{Site: o.site, Jobs: o.workers(), Page: page, Done: done}
	if o.folders == "" {
		return out, nil
	}
	var err error
	if out.Folders, err = intake.NewFolders(o.folders); err != nil {
		return out, usageError{fmt.Errorf("--folders: %w", err)}
	}
	if o.site != "" && out.Folders.NamesSite() {
		return out, usageError{errors.New("--site and {site} in --folders exclude each other")}
	}
	return out, nil
}

func (o *importFlags) workers() int {
	if o.jobs > 0 {
		return o.jobs
	}
	return max(min(runtime.NumCPU(), (o.memory-ownMemory)/(workerMemory+usualPage*pixelMemory)), 1)
}

// What reading takes, measured: see the table in DEVELOPERS.md.
const (
	ownMemory    = 120 // MB, of the program itself
	workerMemory = 60  // MB, of a recognizer's process and the page's small things
	pixelMemory  = 10  // MB a million pixels, of a page in work
	usualPage    = 8   // million pixels: a letter page at 300 dpi
)

// room is how many pixels may be in work at once.
func (o *importFlags) room() int64 {
	return int64(max((o.memory-ownMemory-workerMemory*o.workers())/pixelMemory, 1)) * 1e6
}

// seldom is how far, in percent of what is held, memory grows between two collections
// below the soft limit. Pictures are large and soon dropped: with Go's own 100 an
// import of 24 pages took some 5 % more processor time.
const seldom = 400

// importing opens the archive for a command that takes many pictures in, with a
// meter that shows how far it has come.
func (a *app) importing(ctx context.Context, o *importFlags, use func(*intake.Desk, *meter) error) error {
	if o.jobs < 0 || o.memory < leastMemory {
		return usageError{fmt.Errorf("--jobs must not be negative, --memory at least %d", leastMemory)}
	}
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(int64(o.memory-workerMemory*o.workers()) << 20 * 6 / 10)
	}
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(seldom)
	}
	d, err := a.deskWith(ctx, ocr.Options{Limits: a.limits.ocr(), Workers: o.workers(), Room: o.room()})
	if err != nil {
		return err
	}
	m := newMeter(a.err)
	out, errs := a.out, a.err
	a.out, a.err = m.over(out), m.over(errs)
	defer func() { a.out, a.err = out, errs }()
	return errors.Join(use(d, m), d.Close())
}
