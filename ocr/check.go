package ocr

import (
	"context"
	"fmt"

	"tankroll/ocr/decode"
)

// Look says whether raw may be a picture at all, whole or damaged, of a kind that
// can be read or not: it has bytes, not too many, and begins as one. Nothing is
// decoded.
func (r *Reader) Look(raw []byte) error {
	if err := decode.Look(raw, r.opts.Limits.decode()); err != nil {
		return fmt.Errorf("ocr: %w", err)
	}
	return nil
}

// Check says whether raw can be opened as a picture at all, with the error that
// Pages would give: so that what is no picture is refused before anything of
// it is kept. A single picture is decoded for it; of a file with several pages
// only the header is looked at, since one damaged page must not lose the rest.
func (r *Reader) Check(ctx context.Context, raw []byte) error {
	file, err := r.open(ctx, raw)
	if err != nil || file.Pages() > 1 {
		return err
	}
	limited, cancel := context.WithTimeout(ctx, r.opts.Limits.Time)
	defer cancel()
	if _, err := file.Page(limited, 0); err != nil {
		return r.opened(ctx, err)
	}
	return nil
}
