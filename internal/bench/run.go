package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"tankroll/fixtures"
)

// figures are what a run keeps.
type figures struct {
	losses losses
	trust  trust
	levels levels
}

// run measures, writes the tables to out and tells of its progress on progress.
func run(ctx context.Context, out, progress io.Writer, o options) error {
	if o.n < 1 && o.update {
		return fmt.Errorf("-update keeps the figures of pictures at each level, and -n %d asks for none: give -n 1 or more", o.n)
	}
	dir, err := os.MkdirTemp("", "tankroll-bench-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	if o.part == "judge" {
		o.misses = false // nobody may fit code on what judges it
	}
	kept, err := readFigures(o)
	if err != nil {
		return err
	}
	var now figures
	var missed []string
	if o.n > 0 {
		if now, err = each(ctx, out, progress, dir, o); err != nil {
			return err
		}
		now.writeTables(out, o.levels)
		missed = append(now.levels.missed(), now.trust.missed()...)
	}
	more, err := others(ctx, out, dir, o)
	if err != nil {
		return err
	}
	writeMissed(out, append(missed, more...))
	switch {
	case o.update && ctx.Err() != nil:
		return fmt.Errorf("%s: not written, the run was interrupted", o.golden)
	case o.update:
		return errors.Join(now.losses.write(o.goldenFile("losses")), keep(o.goldenFile("trust"), now.trust.String()), keep(o.goldenFile("levels"), now.levels.String()))
	case o.n > 0:
		writeFigureChanges(out, o, kept, now)
	}
	return nil
}

// writeTables writes all tables of the levels but the first.
func (f figures) writeTables(out io.Writer, names []string) {
	fmt.Fprintln(out)
	writeLosses(out, names, f.losses)
	fmt.Fprintln(out)
	f.levels.write(out)
	fmt.Fprintln(out)
	f.levels.writeFields(out)
	fmt.Fprintln(out)
	writeTrust(out, f.trust)
}

// keptFigures are those that an earlier run has kept.
type keptFigures struct {
	losses        losses
	trust, levels string
}

func readFigures(o options) (kept keptFigures, err error) {
	if kept.losses, err = readLosses(o.goldenFile("losses")); err != nil {
		return kept, err
	}
	if kept.trust, err = readKept(o.goldenFile("trust")); err != nil {
		return kept, err
	}
	kept.levels, err = readKept(o.goldenFile("levels"))
	return kept, err
}

// writeFigureChanges says what differs from what is kept.
func writeFigureChanges(out io.Writer, o options, kept keptFigures, now figures) {
	fmt.Fprintln(out)
	writeChanges(out, o.goldenFile("losses"), kept.losses, now.losses)
	fmt.Fprintln(out)
	writeKeptChanges(out, o.goldenFile("trust"), kept.trust, now.trust.String())
	fmt.Fprintln(out)
	writeKeptChanges(out, o.goldenFile("levels"), kept.levels, now.levels.String())
}

// each reads the pictures level by level, until it is interrupted, and writes the
// first table.
func each(ctx context.Context, out, progress io.Writer, dir string, o options) (figures, error) {
	fmt.Fprintf(out, "part %s, %d pictures a level, seeds from %d\n\n", o.part, o.n, o.seed)
	writeHeader(out)
	made := madeWith(ctx, o)
	now := figures{losses{made: made}, trust{made: made}, levels{made: made}}
	for _, level := range o.levels {
		r := &result{level: level, trust: levelTrust{level: level}}
		for i := range o.n {
			fmt.Fprintf(progress, "%s %d of %d\n", level, i+1, o.n)
			seed := o.seed + uint64(i)
			c, err := fixtures.Make(o.part, level, seed)
			if err != nil {
				return now, fmt.Errorf("%s %d: %w", level, seed, err)
			}
			l, err := measure(ctx, r, dir, o, c)
			if ctx.Err() != nil {
				break
			}
			if err != nil {
				return now, fmt.Errorf("%s: %w", c.Name, err)
			}
			now.losses.rows = append(now.losses.rows, lossRow{level, seed, l})
		}
		if r.pictures > 0 {
			writeRow(out, level, *r)
			now.trust.levels = append(now.trust.levels, r.trust)
			now.levels.rows = append(now.levels.rows, *r)
			fmt.Fprintf(progress, "%s: %s\n", level, inWords(now.losses.level(level)))
		}
		if ctx.Err() != nil {
			fmt.Fprintf(out, "interrupted: %s has %d of %d pictures\n", level, r.pictures, o.n)
			break
		}
	}
	return now, nil
}

// others measures what has a table of its own and says what is wanted of it and not
// reached. After an interrupt it does nothing more.
func others(ctx context.Context, out io.Writer, dir string, o options) (missed []string, err error) {
	for _, one := range []struct {
		asked   bool
		measure func() ([]string, error)
	}{
		{o.long > 0, func() ([]string, error) { return nil, long(ctx, out, o) }},
		{o.marks > 0, func() ([]string, error) { return nil, marked(ctx, out, o) }},
		{o.stripes > 0, func() ([]string, error) { return stripes(ctx, out, dir, o) }},
		{o.sizes != "", func() ([]string, error) { return sizes(ctx, out, dir, o) }},
		{o.real != "", func() ([]string, error) { return nil, readReal(ctx, out, o) }},
		{o.imports > 0, func() ([]string, error) { return nil, imports(ctx, out, dir, o) }},
	} {
		if !one.asked || ctx.Err() != nil {
			continue
		}
		more, err := one.measure()
		if ctx.Err() != nil {
			return missed, nil
		}
		if err != nil {
			return nil, err
		}
		missed = append(missed, more...)
	}
	return missed, nil
}

// goldenFile is where figures of the part are kept: losses, trust or levels.
func (o options) goldenFile(what string) string {
	return filepath.Join(o.golden, what+"-"+o.part+".txt")
}
