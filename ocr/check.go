package ocr

import (
	"fmt"

	"tankroll/ocr/decode"
)

// Check says whether raw can be opened as a picture at all, with the error that
// Pages would give: so that what is no picture is refused before anything of
// it is kept. A single picture is decoded for it; of a file with several pages
// only the header is looked at, since one damaged page must not lose the rest.
func (r *Reader) Check(raw []byte) error {
	file, err := decode.Open(raw, r.decodeLimits())
	if err == nil && file.Pages() == 1 {
		_, err = file.Page(0)
	}
	if err != nil {
		return fmt.Errorf("ocr: %w", err)
	}
	return nil
}
