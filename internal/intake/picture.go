package intake

import (
	"context"
	"image"

	"tankroll/record"
)

// wholePage is a box that holds any page that is opened.
var wholePage = record.Box{W: 1 << 20, H: 1 << 20}

// Picture is one page (from 1) of a capture's original, decoded, on the pixels
// that boxes and corners speak of.
func (d *Desk) Picture(ctx context.Context, captureID string, page int) (image.Image, error) {
	return d.Cut(ctx, captureID, page, wholePage, 0)
}

// Cut is the part of a capture's page (from 1) that lies in box, with a margin,
// turned clockwise by turn degrees to stand upright.
func (d *Desk) Cut(ctx context.Context, captureID string, page int, box record.Box, turn int) (image.Image, error) {
	raw, err := d.store.Original(ctx, captureID)
	if err != nil {
		return nil, err
	}
	return d.reader.Cut(ctx, raw, page, box, turn)
}
