package face

import (
	"image"
	"image/png"
	"os"
)

// WriteSheet writes a picture of samples to look at.
func WriteSheet(file string, img image.Image) error {
	f, err := os.Create(file)
	if err != nil {
		return err
	}
	if err := png.Encode(f, img); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}
