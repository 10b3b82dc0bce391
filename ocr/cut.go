package ocr

import (
	"fmt"
	"image"

	"tankroll/ocr/decode"
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
func Cut(raw []byte, page int, box record.Box, turn int) (image.Image, error) {
	file, err := decode.Open(raw, decode.Limits{})
	if err != nil {
		return nil, fmt.Errorf("ocr: %w", err)
	}
	px, err := file.Page(page - 1)
	if err != nil {
		return nil, fmt.Errorf("ocr: %w", err)
	}
	m := int(cutMargin * float64(min(box.W, box.H)))
	r := image.Rect(box.X-m, box.Y-m, box.X+box.W+m, box.Y+box.H+m).Intersect(px.Luma.Rect)
	if r.Empty() {
		return nil, fmt.Errorf("ocr: box %v lies outside of page %d", box, page)
	}
	p := raster.FromGray(px.Luma.SubImage(r).(*image.Gray)).Quarter(turn / 90)
	return p.Gray(0, 255), nil
}
