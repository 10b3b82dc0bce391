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
// next say which slips are found, one to one by their outlines, what is said of their
// paper and how many fields are right. Others set both readings beside the first
// reading alone, on the same files in the same run: words, characters and time; then
// how often what is said of characters and fields is right, and how many fields are
// sure and wrong. Last comes what is wanted of all that and not reached. All but the
// times is compared with what is kept in testdata; with -update this run's is kept
// instead. An interrupt ends the run early, with the tables of what was measured.
package main

import (
	"context"
	"flag"
	"fmt"
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
	stripes int    // pictures a level with an end-of-roll stripe, and as many without
	sizes   string // megapixels, comma separated
	real    string // folder of real slips
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
	flag.IntVar(&o.stripes, "stripes", 0, "pictures a level with an end-of-roll stripe, and as many without; 0 for none")
	flag.StringVar(&o.sizes, "sizes", "1,12,48", "megapixels of a few photos to read enlarged or reduced, comma separated; empty for none")
	flag.IntVar(&o.imports, "imports", 32, "pictures to keep and read as one import; 0 for none")
	flag.StringVar(&o.real, "real", "", "folder of real slips to read, NAME.jpg or NAME.png with what is printed in NAME.txt; empty for none")
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
