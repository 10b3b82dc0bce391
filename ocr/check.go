package ocr

import "context"

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
