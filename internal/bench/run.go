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
	texts := map[string]string{}
	for _, what := range []string{"trust", "levels"} {
		if texts[what], err = readKept(o.goldenFile(what)); err != nil {
			return err
		}
	}
	now, err := each(ctx, out, progress, dir, o)
	if err != nil {
		return err
	}
	fmt.Fprintln(out)
	writeLosses(out, o.levels, now.losses)
	fmt.Fprintln(out)
	now.levels.write(out)
	fmt.Fprintln(out)
	now.levels.writeFields(out)
	fmt.Fprintln(out)
	writeTrust(out, now.trust)
	missed := append(now.levels.missed(), now.trust.missed()...)
	more, err := others(ctx, out, dir, o)
	if err != nil {
		return err
	}
	fmt.Fprintln(out)
	writeMissed(out, append(missed, more...))
	fmt.Fprintln(out)
	switch {
	case o.update && ctx.Err() != nil:
		return fmt.Errorf("%s: not written, the run was interrupted", o.golden)
	case o.update:
		return errors.Join(now.losses.write(o.goldenFile("losses")), keep(o.goldenFile("trust"), now.trust.String()), keep(o.goldenFile("levels"), now.levels.String()))
	}
	writeChanges(out, o.goldenFile("losses"), kept, now.losses)
	fmt.Fprintln(out)
	writeKeptChanges(out, o.goldenFile("trust"), texts["trust"], now.trust.String())
	fmt.Fprintln(out)
	writeKeptChanges(out, o.goldenFile("levels"), texts["levels"], now.levels.String())
	return nil
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
