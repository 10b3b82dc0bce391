// Bench measures how well and how fast tankroll reads printouts kept for
// judging: consoles, type faces and wear that no code was fitted on. Plain
// tesseract reads the same files in the same run, as the yardstick from
// outside: its better page segmentation mode of 3 and 6, chosen per picture by
// the truth, which favours it.
//
// Every reading is a process of its own, so time and memory are those of the
// whole command. Words count when they hold a letter or digit.
//
// The first table has a row a level, written as soon as the level is done. The
// second says which stage of reading lost the words that were not read right. The
// next set both readings beside the first reading alone, on the same files in the
// same run: words, characters and time; then how often what is said of characters
// and fields is right, and how many fields are sure and wrong; then what is wanted
// of all that and not reached. All but the times is compared with what is kept in
// testdata; with -update this run's is kept instead. An interrupt ends the run
// early, with the tables of what was measured.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"

	"tankroll/fixtures"
)

// options are what a run is asked for.
type options struct {
	program string
	part    string
	levels  []string
	n       int
	seed    uint64
	misses  bool
	long    int    // long slips a level and overlap
	marks   int    // pictures a level with handwriting and stamps
	sizes   string // megapixels, comma separated
	imports int    // pictures to import
	golden  string // folder of the losses to compare with
	update  bool
}

func main() {
	var o options
	flag.StringVar(&o.program, "tankroll", "bin/tankroll", "the program to measure")
	flag.StringVar(&o.part, "part", "judge", "part of the fixtures: judge, or fit while developing")
	levels := flag.String("levels", strings.Join(fixtures.Levels(), ","), "wear levels, comma separated")
	flag.IntVar(&o.n, "n", 40, "pictures a level")
	flag.Uint64Var(&o.seed, "seed", 1, "first seed")
	flag.BoolVar(&o.misses, "misses", false, "with -part fit: list every field read wrong")
	flag.IntVar(&o.long, "long", 1, "slips longer than a picture, for each level and overlap; 0 for none")
	flag.IntVar(&o.marks, "marks", 0, "pictures a level with handwriting and stamps, each read with and without; 0 for none")
	flag.StringVar(&o.sizes, "sizes", "12,48", "megapixels of a few photos to read enlarged, comma separated; empty for none")
	flag.IntVar(&o.imports, "imports", 32, "pictures to keep and read as one import; 0 for none")
	flag.StringVar(&o.golden, "golden", filepath.Join("internal", "bench", "testdata"), "folder of the figures to compare with")
	flag.BoolVar(&o.update, "update", false, "keep this run's figures instead of comparing them")
	flag.Parse()
	o.levels = strings.Split(*levels, ",")
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if err := run(ctx, os.Stdout, os.Stderr, o); err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

// run measures, writes the tables to out and tells of its progress on progress.
func run(ctx context.Context, out, progress io.Writer, o options) error {
	dir, err := os.MkdirTemp("", "tankroll-bench-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	if o.part == "judge" {
		o.misses = false // nobody may fit code on what judges it
	}
	kept, err := readLosses(o.goldenFile("losses"))
	if err != nil {
		return err
	}
	keptTrust, err := readTrust(o.goldenFile("trust"))
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "part %s, %d pictures a level, seeds from %d\n\n", o.part, o.n, o.seed)
	writeHeader(out)
	now := losses{made: madeWith(ctx, o)}
	nowTrust := trust{made: now.made}
	for _, level := range o.levels {
		r := &result{}
		for i := range o.n {
			fmt.Fprintf(progress, "%s %d of %d\n", level, i+1, o.n)
			seed := o.seed + uint64(i)
			c, err := fixtures.Make(o.part, level, seed)
			if err != nil {
				return fmt.Errorf("%s %d: %w", level, seed, err)
			}
			l, err := measure(ctx, r, dir, o, c)
			if ctx.Err() != nil {
				break
			}
			if err != nil {
				return fmt.Errorf("%s: %w", c.Name, err)
			}
			now.rows = append(now.rows, lossRow{level, seed, l})
		}
		if r.pictures > 0 {
			writeRow(out, level, *r)
			r.trust.level = level
			nowTrust.levels = append(nowTrust.levels, r.trust)
			fmt.Fprintf(progress, "%s: %s\n", level, inWords(now.level(level)))
		}
		if ctx.Err() != nil {
			fmt.Fprintf(out, "interrupted: %s has %d of %d pictures\n", level, r.pictures, o.n)
			break
		}
	}
	fmt.Fprintln(out)
	writeLosses(out, o.levels, now)
	fmt.Fprintln(out)
	writeTrust(out, nowTrust)
	fmt.Fprintln(out)
	if ctx.Err() == nil && o.long > 0 {
		if err := long(ctx, out, o); err != nil {
			return err
		}
	}
	if ctx.Err() == nil && o.marks > 0 {
		if err := marked(ctx, out, o); err != nil {
			return err
		}
	}
	if ctx.Err() == nil {
		if err := sizes(out, dir, o.program, o.part, o.seed, o.sizes); err != nil {
			return err
		}
	}
	if ctx.Err() == nil {
		if err := imports(ctx, out, dir, o); err != nil {
			return err
		}
	}
	switch {
	case o.update && ctx.Err() != nil:
		return fmt.Errorf("%s: not written, the run was interrupted", o.golden)
	case o.update:
		return errors.Join(now.write(o.goldenFile("losses")), nowTrust.write(o.goldenFile("trust")))
	}
	writeChanges(out, o.goldenFile("losses"), kept, now)
	fmt.Fprintln(out)
	writeTrustChanges(out, o.goldenFile("trust"), keptTrust, nowTrust.String())
	return nil
}

// goldenFile is where figures of the part are kept: losses or trust.
func (o options) goldenFile(what string) string {
	return filepath.Join(o.golden, what+"-"+o.part+".txt")
}
