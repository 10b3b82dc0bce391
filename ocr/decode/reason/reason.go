// Package reason names why bytes cannot be opened as a picture. Every error of
// the decoders wraps one of these.
package reason

import (
	"errors"
	"fmt"
)

// The reasons.
var (
	ErrEmpty       = errors.New("file is empty")
	ErrNotPicture  = errors.New("not a picture")
	ErrTruncated   = errors.New("picture is cut short")
	ErrTooLarge    = errors.New("picture is too large")
	ErrUnsupported = errors.New("not supported by this version")
)

// CheckSize refuses a picture that has no pixels or more than limit.
func CheckSize(w, h, limit int) error {
	if w <= 0 || h <= 0 {
		return fmt.Errorf("%w: it has no pixels", ErrNotPicture)
	}
	if w > limit/h {
		return fmt.Errorf("%w: %d x %d pixels, the limit is %.4g megapixels: save it smaller or raise the limit", ErrTooLarge, w, h, float64(limit)/1e6)
	}
	return nil
}
