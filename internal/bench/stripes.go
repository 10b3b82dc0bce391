package main

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"io"
	"os"
	"path/filepath"

	"tankroll/fixtures"
)

// stripeLevels are the levels that end-of-roll stripes are measured at: few slips of
// the others are printed at the end of a roll, or their colour is gone.
var stripeLevels = []string{"scan", "worn", "photo", "faded"}

// stripeRow is what is said of stripes at one level, on pictures in colour or in grey.
type stripeRow struct {
	level, look     string
	striped, others paper // slips with a stripe, slips without
}

// stripes reads pictures on which every slip has a stripe and as many on which none
// has, and says what is wanted of that and not reached.
func stripes(ctx context.Context, out io.Writer, dir string, o options) ([]string, error) {
	var rows []stripeRow
	for _, level := range stripeLevels {
		looks := []stripeRow{{level: level, look: "colour"}, {level: level, look: "grey"}}
		for i := range o.stripes {
			for _, stripe := range []bool{true, false} {
				c, err := fixtures.MakeStriped(o.part, level, o.seed+uint64(i), stripe)
				if err != nil {
					return nil, err
				}
				grey, err := isGrey(c.Raw)
				if err != nil {
					return nil, fmt.Errorf("%s: %w", c.Name, err)
				}
				row := &looks[0]
				if grey {
					row = &looks[1]
				}
				if err := row.measure(ctx, dir, o.program, c, stripe); err != nil {
					return nil, fmt.Errorf("%s: %w", c.Name, err)
				}
			}
		}
		rows = append(rows, looks...)
	}
	return writeStripes(out, o.stripes, rows), nil
}

func (r *stripeRow) measure(ctx context.Context, dir, program string, c fixtures.Case, stripe bool) error {
	file := filepath.Join(dir, "stripe."+c.Ext)
	if err := os.WriteFile(file, c.Raw, 0o600); err != nil {
		return err
	}
	page, _, _, err := read(ctx, program, file)
	if err != nil {
		return err
	}
	if stripe {
		r.striped.add(c, page)
	} else {
		r.others.add(c, page)
	}
	return nil
}

// isGrey says whether a picture's file has no colour.
func isGrey(raw []byte) (bool, error) {
	c, _, err := image.DecodeConfig(bytes.NewReader(raw))
	return c.ColorModel == color.GrayModel || c.ColorModel == color.Gray16Model, err
}

// writeStripes writes the table and returns what is not reached, in colour and in grey,
// where no stripe can be told by its colour.
func writeStripes(out io.Writer, n int, rows []stripeRow) []string {
	fmt.Fprintf(out, "\nend-of-roll stripes, %d pictures a level with one and %d without\n", n, n)
	fmt.Fprintf(out, "%-8s%8s%8s%9s%10s%9s%9s%9s\n", "level", "", "found", "slips", "invented", "slips", "right", "wrong")
	line := func(r stripeRow) {
		told := r.striped.stripe.said.sum(r.others.stripe.said)
		fmt.Fprintf(out, "%-8s%8s%8s%9s%10s%9s%9s%9s\n", r.level, r.look, ratio(r.striped.stripe.seen, r.striped.stripe.there), ratio(r.striped.found, r.striped.slips),
			ratio(r.others.stripe.invented, r.others.stripe.absent), ratio(r.others.found, r.others.slips),
			mean(told.sureRight, told.right), mean(told.sureWrong, told.wrong))
	}
	sums := []stripeRow{{level: "all", look: "colour"}, {level: "all", look: "grey"}}
	for _, r := range rows {
		if r.striped.slips+r.others.slips == 0 {
			continue
		}
		line(r)
		for i := range sums {
			if sums[i].look == r.look {
				sums[i].striped, sums[i].others = sums[i].striped.sum(r.striped), sums[i].others.sum(r.others)
			}
		}
	}
	var missed []string
	for _, s := range sums {
		line(s)
		missed = append(missed, missedStripes("stripes in "+s.look, s.striped.stripe.sum(s.others.stripe))...)
	}
	return missed
}
