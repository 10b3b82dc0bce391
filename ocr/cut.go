package ocr

import (
	"context"
	"fmt"
	"image"

	"tankroll/ocr/raster"
	"tankroll/record"
)

// cutMargin is how much of the surroundings a cut shows, as a share of the
// box's height: enough to see that nothing was cut away.
const cutMargin = 0.6

// Cut shows a part of a page (counted from 1) of the original: box with a
// margin, turned clockwise by turn degrees (0, 90, 180, 270) to stand upright.
// The pixels are the original's own, in grey. It fails as Pages does when raw
// cannot be opened, and when box lies outside of the page.
func (r *Reader) Cut(ctx context.Context, raw []byte, page int, box record.Box, turn int) (image.Image, error) {
	file, err := r.open(ctx, raw)
	if err != nil {
		return nil, err
	}
	limited, cancel := context.WithTimeout(ctx, r.opts.Limits.Time)
	defer cancel()
	px, err := file.Page(limited, page-1)
	if err != nil {
		return nil, r.opened(ctx, err)
	}
	m := int(cutMargin * float64(min(box.W, box.H)))
	part := image.Rect(box.X-m, box.Y-m, box.X+box.W+m, box.Y+box.H+m).Intersect(px.Luma.Rect)
	if part.Empty() {
		return nil, fmt.Errorf("ocr: box %v lies outside of page %d", box, page)
	}
	p := raster.FromGray(px.Luma.SubImage(part).(*image.Gray)).Quarter(turn / 90)
	return p.Gray(0, 255), nil
}
