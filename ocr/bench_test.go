package ocr

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"tankroll/ocr/lines"
	"tankroll/ocr/paper"
	"tankroll/ocr/raster"
)

// BenchmarkPage times the steps of one photo's reading in their order, and the
// whole at the end. What a step needs of those before it is not counted.
func BenchmarkPage(b *testing.B) {
	raw, err := os.ReadFile(filepath.Join("..", "fixtures", "set", "0104-photo-with-shadow.jpg"))
	if err != nil {
		b.Fatal(err)
	}
	ctx := context.Background()
	r, err := NewReader(Options{Workers: 1})
	if err != nil {
		b.Fatal(err)
	}
	defer r.Close()
	px, err := decodeOne(raw)
	if err != nil {
		b.Fatal(err)
	}
	original := raster.NewGrayPyramid(px.Luma)
	cb, cr, _ := px.Coarse()
	planes := paper.Reduced(px.Luma, cb, cr)
	planes.Likely = r.sheet.Paper(planes.Luma, planes.Blue, planes.Red)
	found, err := paper.Find(ctx, planes)
	if err != nil || len(found) == 0 {
		b.Fatal("no slip was found", err)
	}
	m, ok := paper.NewMap(found[0].Quad)
	if !ok {
		b.Fatal("the slip has no area")
	}
	u, err := r.setUpright(ctx, original, m, nil)
	if err != nil {
		b.Fatal(err)
	}
	r.reshape(&u)
	cells := r.readCells(u)
	for _, step := range []struct {
		name string
		run  func() error
	}{
		{"decode", func() error { _, err := decodeOne(raw); return err }},
		{"pyramid", func() error { raster.NewGrayPyramid(px.Luma); return nil }},
		{"likely paper", func() error { r.sheet.Paper(planes.Luma, planes.Blue, planes.Red); return nil }},
		{"find", func() error { _, err := paper.Find(ctx, planes); return err }},
		{"flatten", func() error { u.m.Flatten(original, u.scale); return nil }},
		{"lift", func() error { lift(original, u.m, u.scale, u.em, nil); return nil }},
		{"lines", func() error { lines.Find(u.printOnly(), u.even, readCap); return nil }},
		{"upright", func() error { _, err := r.setUpright(ctx, original, m, nil); return err }},
		{"cells", func() error { r.readCells(u); return nil }},
		{"recognizer", func() error { _, err := r.read(ctx, u, cells, nil); return err }},
		{"whole", func() error {
			for _, err := range r.Pages(ctx, raw) {
				if err != nil {
					return err
				}
			}
			return nil
		}},
	} {
		b.Run(step.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := step.run(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
