// Package reason names why bytes cannot be opened as a picture. Every error of
// the decoders wraps one of these.
package reason

import (
	"errors"
	"fmt"
	"io"
	"strings"
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
		return fmt.Errorf("%w: it has no pixels: export it again as JPEG or PNG", ErrNotPicture)
	}
	if w > limit/h {
		return fmt.Errorf("%w: %d x %d pixels, the limit is %.4g megapixels: save it smaller or raise the limit of megapixels", ErrTooLarge, w, h, float64(limit)/1e6)
	}
	return nil
}

// cutShort are what decoders say of bytes that end too early when they do not say
// io.EOF. (JPEG's is of the file's end alone: a marker amid the picture is said
// otherwise.)
var cutShort = []string{"unexpected EOF", "not enough pixel data", "short Huffman data"}

// Ended says whether a decoder's error means that its bytes end too early.
func Ended(err error) bool {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return true
	}
	for _, s := range cutShort {
		if strings.Contains(err.Error(), s) {
			return true
		}
	}
	return false
}
