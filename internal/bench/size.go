package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image"
	"image/draw"
	"image/jpeg"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"text/tabwriter"

	xdraw "golang.org/x/image/draw"

	"tankroll/fixtures"
	"tankroll/internal/score"
	"tankroll/record"
)

// Phones send 12 megapixels, or 48 when asked to, and messengers leave some 1 of them.
// Fixtures are as large as their print asks for, so one is enlarged: print, then, is
// larger than it need be, which is what such pictures are like. Or it is reduced, and
// print is as small as it then gets.
const (
	sizeQuality = 90 // of the JPEG, as phones have it
	sizePhotos  = 4  // of different wear and ground
	sizeRuns    = 2  // of each, of which the fastest counts
)

// sizeResult is what a few photos of one size cost to read and how well they are
// read, and the same of plain tesseract.
type sizeResult struct {
	megapixels        float64
	own, plain        cost // time of all photos, peak of one
	highest           float64
	words, plainWords score.Words
}

// ratio is the time against plain tesseract's.
func (s sizeResult) ratio() float64 { return s.own.took.Seconds() / max(s.plain.took.Seconds(), 1e-9) }

// sizes reads a few photos of the part brought to so many megapixels, a comma between
// them, and prints how well they are read, time and memory beside plain tesseract's: of
// all photos together, and the highest ratio and peak of one. It says what is wanted of
// that and not reached.
func sizes(ctx context.Context, out io.Writer, dir string, o options) (missed []string, err error) {
	var all []sizeResult
	for _, mp := range strings.Split(o.sizes, ",") {
		n, err := strconv.ParseFloat(mp, 64)
		if err != nil || !(n > 0) || n > 80 {
			return nil, fmt.Errorf("-sizes: %q is no number of megapixels from 0 to 80", mp)
		}
		s := sizeResult{megapixels: n}
		for i := range uint64(sizePhotos) {
			if err := s.measure(ctx, dir, o, o.seed+i); err != nil {
				return nil, fmt.Errorf("%v MP: %w", n, err)
			}
		}
		all, missed = append(all, s), append(missed, s.missed()...)
	}
	return missed, writeSizes(out, all)
}

func writeSizes(out io.Writer, all []sizeResult) error {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintf(w, "\n%d photos, MP\tword F1\tplain\tCPU s\tplain CPU s\tratio\thighest\tpeak MB\tplain MB\t\n", sizePhotos)
	for _, s := range all {
		fmt.Fprintf(w, "%v\t%.3f\t%.3f\t%.2f\t%.2f\t%.2f\t%.2f\t%d\t%d\t\n", s.megapixels, s.words.F1(), s.plainWords.F1(),
			s.own.took.Seconds(), s.plain.took.Seconds(), s.ratio(), s.highest, s.own.peak>>20, s.plain.peak>>20)
	}
	return w.Flush()
}

// measure reads one photo of the part in the size. Plain tesseract has its better
// reading and its shorter time, as everywhere.
func (s *sizeResult) measure(ctx context.Context, dir string, o options, seed uint64) error {
	c, err := fixtures.Make(o.part, "photo", seed)
	if err != nil {
		return err
	}
	photo, _, err := image.Decode(bytes.NewReader(c.Raw))
	if err != nil {
		return err
	}
	file := filepath.Join(dir, "size.jpg")
	if err := resize(photo, s.megapixels*1e6, file); err != nil {
		return err
	}
	text := textOf(record.Page{Slips: c.Slips})
	said, own, err := fastest(ctx, o.program, "read", "--json", file)
	if err != nil {
		return err
	}
	var page record.Page
	if err := json.Unmarshal(said, &page); err != nil {
		return fmt.Errorf("its JSON: %w", err)
	}
	best, plain, err := plainModes(text, func(mode string) ([]byte, cost, error) {
		return fastest(ctx, "tesseract", file, "-", "--psm", mode)
	})
	if err != nil {
		return err
	}
	s.words, s.plainWords = s.words.Add(score.CountWords(text, textOf(page))), s.plainWords.Add(best)
	s.highest = max(s.highest, own.took.Seconds()/max(plain.took.Seconds(), 1e-9))
	s.own.took, s.own.peak = s.own.took+own.took, max(s.own.peak, own.peak)
	s.plain.took, s.plain.peak = s.plain.took+plain.took, max(s.plain.peak, plain.peak)
	return nil
}

// resize writes the picture with about so many pixels.
func resize(m image.Image, pixels float64, file string) error {
	b := m.Bounds()
	k := math.Sqrt(pixels / float64(b.Dx()*b.Dy()))
	to := image.NewRGBA(image.Rect(0, 0, int(float64(b.Dx())*k+0.5), int(float64(b.Dy())*k+0.5)))
	xdraw.BiLinear.Scale(to, to.Rect, m, b, draw.Src, nil)
	var raw bytes.Buffer
	if err := jpeg.Encode(&raw, to, &jpeg.Options{Quality: sizeQuality}); err != nil {
		return err
	}
	return os.WriteFile(file, raw.Bytes(), 0o600)
}
