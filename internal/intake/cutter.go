package intake

import (
	"context"
	"fmt"
	"image"

	"tankroll/ocr/raster"
	"tankroll/record"
)

// Cutter cuts parts out of originals one after the other; the page that it cut
// from last stays decoded, since records of one slip come together. It is for
// one goroutine.
type Cutter struct {
	d       *Desk
	capture string
	page    int
	img     *image.Gray
}

// Cutter begins cutting.
func (d *Desk) Cutter() *Cutter { return &Cutter{d: d} }

// Cut is the part of a capture's page (from 1) that lies in box, with a little
// around it, turned clockwise by turn degrees (0, 90, 180, 270) to stand upright.
func (c *Cutter) Cut(ctx context.Context, capture string, page int, box record.Box, turn int) (image.Image, error) {
	if c.img == nil || c.capture != capture || c.page != page {
		img, err := c.d.Picture(ctx, capture, page)
		if err != nil {
			return nil, err
		}
		gray, ok := img.(*image.Gray)
		if !ok {
			return nil, fmt.Errorf("internal error: a page that is a %T", img)
		}
		c.capture, c.page, c.img = capture, page, gray
	}
	const margin = 12 // pixels of the original
	part := image.Rect(box.X-margin, box.Y-margin, box.X+box.W+margin, box.Y+box.H+margin).Intersect(c.img.Rect)
	if part.Empty() {
		return nil, fmt.Errorf("box %v lies outside of page %d of %s", box, page, capture)
	}
	sub := c.img.SubImage(part).(*image.Gray)
	return raster.FromGray(sub).Quarter(turn/90).Gray(0, 255), nil
}
