// Package intake is the way a picture goes: read, parsed, kept and indexed,
// in that order of safety: the original is durable before it is read, and the
// index follows the archive. The command line and the pages share it, so that
// neither holds logic of its own.
package intake

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"iter"
	"time"

	"tankroll/archive"
	"tankroll/ocr"
	"tankroll/parse"
	"tankroll/record"
)

// ErrNoPrint says that a picture holds no print that could be read.
var ErrNoPrint = errors.New("no printed slip found in this picture; take it again closer and in even light")

// ErrBlurred says that a picture shows a slip whose print is too soft to be read.
var ErrBlurred = errors.New("a slip was found but it is blurred; take it again before the paper is thrown away: hold the camera still and focus on the print")

// noText is whether a page's error is that it was looked at and gave no text: reading it
// again gives none either.
func noText(err string) bool { return err == ErrNoPrint.Error() || err == ErrBlurred.Error() }

// Read reads the pages of one input and parses their slips. A page that could
// not be read has Error set and the others are complete; the error result is
// for an input that cannot be opened at all.
func Read(ctx context.Context, r *ocr.Reader, raw []byte, h parse.Hints) iter.Seq2[archive.Reading, error] {
	return func(yield func(archive.Reading, error) bool) {
		for p, err := range r.Pages(ctx, raw) {
			if err != nil {
				yield(archive.Reading{}, err)
				return
			}
			if !yield(reading(p, h), nil) {
				return
			}
		}
	}
}

func reading(p ocr.Page, h parse.Hints) archive.Reading {
	out := archive.Reading{Page: p.Number, OCRVersion: ocr.Version, GrammarVersion: parse.Version}
	if p.Err != nil {
		out.Error = p.Err.Error()
		return out
	}
	printed, blurred := false, false
	for _, s := range p.Slips {
		out.Slips = append(out.Slips, archive.SlipReading{Slip: s, Report: parse.Slip(s, h)})
		printed = printed || len(s.Text()) > 0
		blurred = blurred || s.Paper.Blurred
	}
	switch {
	case printed:
	case blurred:
		out.Error = ErrBlurred.Error()
	default:
		out.Error = ErrNoPrint.Error()
	}
	return out
}

// Page puts a reading into the form that scripts rely on.
func Page(name string, raw []byte, r archive.Reading) record.Page {
	return page(name, sum(raw), r)
}

// sum is the SHA-256 of bytes, hexadecimal.
func sum(raw []byte) string {
	s := sha256.Sum256(raw)
	return hex.EncodeToString(s[:])
}

func page(name, sum string, r archive.Reading) record.Page {
	p := record.Page{File: name, Page: r.Page, SHA256: sum, Error: r.Error, Capture: r.Capture, Slips: []record.ReadSlip{}}
	for _, s := range r.Slips {
		slip, report := s.Joined()
		out := record.Join(slip, report)
		out.JoinedInto, out.MayGoOn = s.Into, s.MayGoOn
		p.Slips = append(p.Slips, out)
	}
	return p
}

// Typed runs the grammar on typed text, one page with a slip for each form
// feed.
func Typed(name string, raw []byte, h parse.Hints) record.Page {
	r := archive.Reading{Page: 1, GrammarVersion: parse.Version}
	for _, s := range parse.Typed(string(raw)) {
		r.Slips = append(r.Slips, archive.SlipReading{Slip: s, Report: parse.Slip(s, h)})
	}
	return Page(name, raw, r)
}

// Hints are what is known before a slip is read: no printed date can lie
// after now.
func Hints(now time.Time, site string) parse.Hints { return parse.Hints{Now: now, Site: site} }

// Failed is the document of an input that could not be opened.
func Failed(name string, raw []byte, err error) record.Page {
	p := record.Page{File: name, Page: 1, Error: err.Error(), Slips: []record.ReadSlip{}}
	if len(raw) > 0 {
		p = Page(name, raw, archive.Reading{Page: 1, Error: err.Error()})
	}
	return p
}

// nothingRead says in one line why a picture gave no record.
func nothingRead(err string, capture string) error {
	return fmt.Errorf("%s (the picture is kept as %s; its records can be typed in with tankroll enter)", err, capture)
}
