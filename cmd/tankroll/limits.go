package main

import (
	"fmt"
	"os"
	"runtime/debug"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"tankroll/ocr"
)

// limits are what one input may cost, as the flags of the commands that open
// pictures say it. Zero means the default.
type limits struct {
	mb         float64
	megapixels float64
	pages      int
	time       time.Duration
	flagged    bool // the command that runs has the flags
}

// The most that may be asked for: beyond it a picture does not fit into the
// memory of any machine this runs on, or its numbers into the decoders.
const (
	mostMB         = 1024
	mostMegapixels = 1000
	mostPages      = 10_000
)

// limitsHelp stands at the end of the help of commands that open pictures.
const limitsHelp = `

A file that is larger than a limit allows is refused from its header, before it
is decoded; the error names the limit. --max-mb, --max-megapixels, --max-pages
and --max-time raise or lower the limits. Memory grows with the megapixels: some
10 MB each while a picture is read.`

// flags adds the limits to a command.
func (l *limits) flags(c *cobra.Command) {
	d := ocr.Limits{}.WithDefaults()
	f := c.Flags()
	f.Float64Var(&l.mb, "max-mb", float64(d.Bytes)/(1<<20), "largest file, in MB")
	f.Float64Var(&l.megapixels, "max-megapixels", float64(d.Pixels)/1e6, "largest page, in millions of pixels")
	f.IntVar(&l.pages, "max-pages", d.Pages, "most pages of one TIFF or PDF")
	f.DurationVar(&l.time, "max-time", d.Time, "longest time for one page")
	run := c.RunE
	c.RunE = func(c *cobra.Command, args []string) error {
		if err := l.check(); err != nil {
			return err
		}
		l.flagged = true
		return run(c, args)
	}
}

// byFlag names the flag where an error advises to raise a limit, since the reader
// knows limits only by what they bound.
func (l *limits) byFlag(text string) string {
	if !l.flagged {
		return text
	}
	return strings.NewReplacer("raise the limit of megabytes", "raise --max-mb", "raise the limit of megapixels", "raise --max-megapixels",
		"raise the limit of pages", "raise --max-pages", "raise the limit of time", "raise --max-time").Replace(text)
}

func (l *limits) check() error {
	for _, v := range []struct {
		flag          string
		value, at, to float64
	}{
		{"max-mb", l.mb, 1. / (1 << 20), mostMB}, {"max-megapixels", l.megapixels, 1e-6, mostMegapixels},
		{"max-pages", float64(l.pages), 1, mostPages}, {"max-time", l.time.Seconds(), 1e-3, 24 * 3600},
	} {
		if !(v.value >= v.at && v.value <= v.to) {
			return usageError{fmt.Errorf("--%s must be more than 0 and at most %v%s", v.flag, v.to, unitOf(v.flag))}
		}
	}
	return nil
}

// softMemory is in bytes: from here on the garbage collector works harder instead
// of letting memory double. A picture of 48 megapixels is read within it; larger
// ones take what they need. It is for commands that read one picture after the
// other; a server that holds several would collect without end.
const softMemory = 400 << 20

// spareMemory sets the soft limit, unless the environment has set one.
func spareMemory() {
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(softMemory)
	}
}

func unitOf(flag string) string {
	if flag == "max-time" {
		return " seconds, a day"
	}
	return ""
}

// ocr is the limits as the reader takes them.
func (l *limits) ocr() ocr.Limits {
	return ocr.Limits{Bytes: int64(l.mb * (1 << 20)), Pixels: int(l.megapixels * 1e6), Pages: l.pages, Time: l.time}
}
