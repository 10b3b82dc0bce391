package main

import (
	"context"
	"errors"
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"tankroll/archive"
	"tankroll/internal/intake"
)

func (a *app) showCommand() *cobra.Command {
	var picture string
	c := &cobra.Command{
		Use:   "show ID",
		Short: "show a record (r…) or a capture (c…) with its picture",
		Long: `Shows a record with its fields, its doubts, what people decided about it and
the picture it stands on, or a capture with everything read from it.

With --picture FILE.png the part of the original that the record stands on is
written there, upright.` + limitsHelp,
		Args: exactly(1, "one id, such as r12 or c3"),
		RunE: func(c *cobra.Command, args []string) error {
			return a.withDesk(c.Context(), func(d *intake.Desk) error { return a.show(c.Context(), d, args[0], picture) })
		},
	}
	a.limits.flags(c)
	c.Flags().StringVar(&picture, "picture", "", "write the part of the original that a record stands on to this PNG")
	return c
}

func (a *app) show(ctx context.Context, d *intake.Desk, id, picture string) error {
	if strings.HasPrefix(id, "c") {
		if picture != "" {
			return usageError{errors.New("--picture goes with a record (r…); the original of a capture is named by show")}
		}
		return a.showCapture(ctx, d, id)
	}
	r, err := d.Store().Record(ctx, id)
	if err != nil {
		return err
	}
	if picture != "" {
		if err := cutTo(ctx, d, r, picture); err != nil {
			return err
		}
	}
	if a.json {
		return a.line(intake.NewRecordDoc(r))
	}
	if err := a.row(ctx, d, r); err != nil {
		return err
	}
	if picture != "" {
		a.say("  written  %s\n", picture)
	}
	return a.history(ctx, d, id)
}

// history tells what people decided about a record, and what it may be one with.
func (a *app) history(ctx context.Context, d *intake.Desk, id string) error {
	like, err := d.Store().MayBeSame(ctx, id)
	if err != nil {
		return err
	}
	for _, x := range like {
		a.alike(x, id)
	}
	decisions, err := d.Store().History(ctx, id)
	if err != nil {
		return err
	}
	for _, x := range decisions {
		a.say("  %s  %s\n", stampWords(x.At), decisionWords(archive.Event{What: x.Action, Record: x.Record, Decision: x}))
	}
	return nil
}

func (a *app) showCapture(ctx context.Context, d *intake.Desk, id string) error {
	c, err := d.Store().Capture(ctx, id)
	if err != nil {
		return err
	}
	raw, err := d.Store().Original(ctx, id)
	if err != nil {
		return err
	}
	readings, err := d.Store().Readings(ctx, id)
	if err != nil {
		return err
	}
	if !a.json {
		a.say("%s  %s, kept %s\n  original %s\n  SHA-256  %s\n", c.ID, c.File, c.AddedAt.Local().Format("2006-01-02 15:04"), d.Store().OriginalPath(c), c.SHA256)
	}
	for _, r := range readings {
		p := intake.Page(c.File, raw, r)
		p.Capture = c.ID
		if err := a.page(p); err != nil {
			return err
		}
	}
	return nil
}

// cutTo writes the part of the original that a record stands on as a PNG; of a
// record that goes on on another picture, both parts, one below the other.
func cutTo(ctx context.Context, d *intake.Desk, r archive.Row, file string) error {
	if r.ByHand {
		return fmt.Errorf("%s was typed in by hand; it has no picture", r.ID)
	}
	var cuts []image.Image
	for _, area := range r.Record.Areas() {
		on := r.On(area)
		cut, err := d.Cut(ctx, on.Capture, on.Page, on.Across(area), on.Turn)
		if err != nil {
			return fmt.Errorf("%s: %w", on.File, err)
		}
		cuts = append(cuts, cut)
	}
	if len(cuts) == 0 {
		return fmt.Errorf("%s has no place on its picture; see the original of %s", r.ID, r.Capture)
	}
	f, err := os.Create(file)
	if err != nil {
		return err
	}
	if err := png.Encode(f, below(cuts)); err != nil {
		return errors.Join(err, f.Close(), os.Remove(file))
	}
	return f.Close()
}

// below stacks pictures.
func below(list []image.Image) image.Image {
	if len(list) == 1 {
		return list[0]
	}
	w, h := 0, 0
	for _, img := range list {
		w, h = max(w, img.Bounds().Dx()), h+img.Bounds().Dy()
	}
	out := image.NewGray(image.Rect(0, 0, w, h))
	y := 0
	for _, img := range list {
		b := img.Bounds()
		draw.Draw(out, image.Rect(0, y, b.Dx(), y+b.Dy()), img, b.Min, draw.Src)
		y += b.Dy()
	}
	return out
}
