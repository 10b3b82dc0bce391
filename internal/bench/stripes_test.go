package main

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"strings"
	"testing"

	"tankroll/internal/golden"
)

// TestStripes: pictures in grey stand apart from those in colour.
func TestStripes(t *testing.T) {
	found := func(slips, found int, s sign) paper { return paper{slips: slips, found: found, stripe: s} }
	rows := []stripeRow{
		{"scan", "colour", found(20, 20, sign{20, 18, 0, 0, said{18, 2, 16, 1}}), found(20, 20, sign{0, 0, 20, 1, said{19, 1, 19, 0.5}})},
		{"scan", "grey", found(10, 9, sign{10, 0, 0, 0, said{0, 9, 0, 1}}), found(10, 10, sign{0, 0, 10, 0, said{10, 0, 10, 0}})},
		{"photo", "colour", found(30, 30, sign{30, 30, 0, 0, said{30, 0, 30, 0}}), found(30, 30, sign{0, 0, 30, 0, said{30, 0, 30, 0}})},
		{level: "photo", look: "grey"},
	}
	var out bytes.Buffer
	missed := writeStripes(&out, 30, rows)
	out.WriteString("\n" + strings.Join(missed, "\n") + "\n")
	if more := writeStripes(&bytes.Buffer{}, 30, rows[2:]); len(more) != 0 {
		t.Errorf("missed where all is reached: %q", more)
	}
	golden.Equal(t, "stripes.txt", out.String())
}

// TestIsGrey: by what the file holds.
func TestIsGrey(t *testing.T) {
	colour := image.NewRGBA(image.Rect(0, 0, 8, 8))
	colour.Set(1, 1, color.RGBA{200, 20, 20, 255})
	for want, m := range map[bool]image.Image{true: image.NewGray(colour.Rect), false: colour} {
		var raw bytes.Buffer
		if err := jpeg.Encode(&raw, m, nil); err != nil {
			t.Fatal(err)
		}
		if got, err := isGrey(raw.Bytes()); got != want || err != nil {
			t.Errorf("grey %v: %v, %v", want, got, err)
		}
	}
	if _, err := isGrey([]byte("no picture")); err == nil {
		t.Error("text was taken for a picture")
	}
}
