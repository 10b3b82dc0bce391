// Bench measures how well and how fast tankroll reads printouts kept for
// judging: consoles, type faces and wear that no code was fitted on. Plain
// tesseract reads the same files in the same run, as the yardstick from
// outside: its better page segmentation mode of 3 and 6, chosen per picture by
// the truth, which favours it.
//
// Every reading is a process of its own, so time and memory are those of the
// whole command. Words count when they hold a letter or digit.
package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"text/tabwriter"
	"time"

	"tankroll/fixtures"
	"tankroll/internal/score"
	"tankroll/record"
)

// perPicture bounds one reading; a reader that needs longer has hung.
const perPicture = 3 * time.Minute

// result sums what a reader made of the pictures of one level.
type result struct {
	words, plain    score.Words
	fields          score.Fields
	slips, found    int
	turns, pictures int
	failed          int
	took, plainTook time.Duration
	peak            int64 // kB, the largest of any picture
	invented, roll  int   // end-of-roll stripes reported wrongly, rightly
	rolls           int   // end-of-roll stripes on the pictures
}

func main() {
	program := flag.String("tankroll", "bin/tankroll", "the program to measure")
	part := flag.String("part", "judge", "part of the fixtures: judge, or fit while developing")
	levels := flag.String("levels", "scan,worn,photo,faded,ghost,binder", "wear levels, comma separated")
	n := flag.Int("n", 12, "pictures a level")
	seed := flag.Uint64("seed", 1, "first seed")
	misses := flag.Bool("misses", false, "with -part fit: list every field read wrong")
	large := flag.String("sizes", "12,48", "megapixels of one photo to read enlarged, comma separated; empty for none")
	flag.Parse()
	if err := run(os.Stdout, *program, *part, strings.Split(*levels, ","), *n, *seed, *misses, *large); err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

func run(out io.Writer, program, part string, levels []string, n int, seed uint64, misses bool, large string) error {
	dir, err := os.MkdirTemp("", "tankroll-bench-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	if part == "judge" {
		misses = false // nobody may fit code on what judges it
	}
	fmt.Fprintf(out, "part %s, %d pictures a level, seeds from %d\n\n", part, n, seed)
	all := map[string]*result{}
	for _, level := range levels {
		all[level] = &result{}
		for i := range n {
			c, err := fixtures.Make(part, level, seed+uint64(i))
			if err != nil {
				return fmt.Errorf("%s %d: %w", level, seed+uint64(i), err)
			}
			if err := measure(all[level], dir, program, c, misses); err != nil {
				return fmt.Errorf("%s: %w", c.Name, err)
			}
		}
	}
	return errors.Join(table(out, levels, all), sizes(out, dir, program, part, seed, large))
}

// measure reads one picture with both readers and adds to the sums.
func measure(r *result, dir, program string, c fixtures.Case, misses bool) error {
	file := filepath.Join(dir, "picture"+c.Ext)
	if err := os.WriteFile(file, c.Raw, 0o600); err != nil {
		return err
	}
	var text []string
	for _, s := range c.Slips {
		text = append(text, s.Text...)
	}
	if err := plainTesseract(r, file, text); err != nil {
		return err
	}

	r.pictures++
	out, took, peak, err := process(program, "read", "--json", file)
	r.took += took
	r.peak = max(r.peak, peak)
	var page record.Page
	if jsonErr := json.Unmarshal(out, &page); jsonErr != nil {
		return fmt.Errorf("its JSON: %w (%v)", jsonErr, err)
	}
	if page.Error != "" {
		r.failed++
	}
	add(r, c, page, text, misses)
	return nil
}

func add(r *result, c fixtures.Case, page record.Page, text []string, misses bool) {
	var got []string
	var truth, read []record.Record
	stripe := false
	for _, s := range page.Slips {
		got = append(got, s.Text...)
		read = append(read, s.Records...)
		stripe = stripe || s.Paper.EndOfRoll
	}
	printed := false
	for _, s := range c.Slips {
		truth = append(truth, s.Records...)
		printed = printed || s.Paper.EndOfRoll
		r.slips++
		if i := nearest(s, page.Slips); i >= 0 {
			r.found++
			if page.Slips[i].Turn == s.Turn {
				r.turns++
			}
		}
	}
	switch {
	case printed:
		r.rolls++
		if stripe {
			r.roll++
		}
	case stripe:
		r.invented++
	}
	r.words = r.words.Add(score.CountWords(text, got))
	f, m := score.CountFields(truth, read)
	r.fields = r.fields.Add(f)
	if misses {
		for _, x := range m {
			fmt.Printf("  %s %s.%s: printed %v %q, read %v %q sure=%v\n", c.Name, x.Kind, x.Name, x.Want.Value, x.Want.Text, x.Got.Value, x.Got.Text, x.Got.Sure)
		}
	}
}

// nearest finds the slip read whose middle lies in the printed slip's
// rectangle, or -1.
func nearest(want record.ReadSlip, got []record.ReadSlip) int {
	lo, hi := want.Corners[0], want.Corners[0]
	for _, p := range want.Corners {
		lo = record.Point{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
		hi = record.Point{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
	}
	for i, s := range got {
		var m record.Point
		for _, p := range s.Corners {
			m.X += p.X / 4
			m.Y += p.Y / 4
		}
		if m.X > lo.X && m.X < hi.X && m.Y > lo.Y && m.Y < hi.Y {
			return i
		}
	}
	return -1
}

func plainTesseract(r *result, file string, text []string) error {
	var best score.Words
	var fastest time.Duration
	for _, mode := range []string{"3", "6"} {
		out, took, _, err := process("tesseract", file, "-", "--psm", mode)
		if errors.Is(err, exec.ErrNotFound) {
			return fmt.Errorf("tesseract is not installed; run make setup (%w)", err)
		}
		// A failure of plain tesseract counts as nothing read.
		w := score.CountWords(text, strings.Split(string(out), "\n"))
		if fastest == 0 || took < fastest {
			fastest = took
		}
		if best.Truth == 0 || w.F1() > best.F1() {
			best = w
		}
	}
	r.plain = r.plain.Add(best)
	r.plainTook += fastest
	return nil
}

// process runs a command on one core and says how long it took and how much
// memory it and its children held at most, in kB.
func process(name string, args ...string) ([]byte, time.Duration, int64, error) {
	ctx, cancel := context.WithTimeout(context.Background(), perPicture)
	defer cancel()
	var out, errs bytes.Buffer
	cmd := exec.CommandContext(ctx, name, args...)
	cmd.Stdout, cmd.Stderr = &out, &errs
	cmd.Env = append(os.Environ(), "OMP_THREAD_LIMIT=1", "GOMAXPROCS=1")
	start := time.Now()
	err := cmd.Run()
	took := time.Since(start)
	var peak int64
	if cmd.ProcessState != nil {
		if ru, ok := cmd.ProcessState.SysUsage().(*syscall.Rusage); ok {
			peak = ru.Maxrss
		}
	}
	if err != nil {
		err = fmt.Errorf("%w: %s", err, strings.TrimSpace(errs.String()))
	}
	return out.Bytes(), took, peak, err
}

func table(out io.Writer, levels []string, all map[string]*result) error {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "\tword F1\tplain\tslips\tturn\tfields\twhole\tdoubtful\tsure+wrong\tspurious\tstripe\tinvented\ts\tplain s\tpeak MB\t")
	for _, level := range levels {
		r := all[level]
		per := func(d time.Duration) float64 { return d.Seconds() / float64(max(1, r.pictures)) }
		read := max(1, r.fields.Right+r.fields.Wrong)
		fmt.Fprintf(w, "%s\t%.3f\t%.3f\t%d/%d\t%d/%d\t%.3f\t%d/%d\t%.3f\t%d/%d\t%d\t%d/%d\t%d\t%.2f\t%.2f\t%d\t\n", level,
			r.words.F1(), r.plain.F1(), r.found, r.slips, r.turns, r.slips, r.fields.Accuracy(), r.fields.Whole, r.fields.Records,
			float64(r.fields.Doubtful)/float64(read), r.fields.SureWrong, read, r.fields.Spurious,
			r.roll, r.rolls, r.invented, per(r.took), per(r.plainTook), r.peak>>10)
	}
	return w.Flush()
}
