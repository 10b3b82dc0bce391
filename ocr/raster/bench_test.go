package raster

import (
	"slices"
	"testing"
)

// BenchmarkFilters times what the reading steps do to a picture of a megapixel,
// about what one slip has when it is read.
func BenchmarkFilters(b *testing.B) {
	p := noisy(800, 1250)
	g := p.Gray(0, 255)
	values := p.Sample(50_000)
	for _, c := range []struct {
		name string
		run  func()
	}{
		{"blur-fine", func() { p.Blur(1.2) }},
		{"blur-wide", func() { p.Blur(6) }},
		{"close", func() { p.Close(3, 3) }},
		{"max-far", func() { p.Max(2, 94) }},
		{"resize", func() { p.Resize(1100, 1700) }},
		{"reduce", func() { p.Reduce(2) }},
		{"reduce-gray", func() { ReduceGray(g, 4) }},
		{"quantile", func() { Quantile(slices.Clone(values), 0.5) }},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				c.run()
			}
		})
	}
}
