package intake

import (
	"context"
	"image"

	"tankroll/ocr"
	"tankroll/record"
)

// wholePage is a box that holds any page that is opened.
var wholePage = record.Box{W: 1 << 20, H: 1 << 20}

// Picture is one page (from 1) of a capture's original, decoded, on the pixels
// that boxes and corners speak of.
func (d *Desk) Picture(ctx context.Context, captureID string, page int) (image.Image, error) {
	raw, err := d.store.Original(ctx, captureID)
	if err != nil {
		return nil, err
	}
	return ocr.Cut(raw, page, wholePage, 0)
}
