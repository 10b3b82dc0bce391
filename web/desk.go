package web

import (
	"context"
	"image"

	"tankroll/archive"
	"tankroll/comply"
	"tankroll/index"
	"tankroll/record"
)

// Desk is what the pages stand on. It is put together from small interfaces,
// each used by one group of pages, so that a test can fake it in a page.
//
// All methods may be called at once from many requests. An id that names
// nothing gives an error for which errors.Is(err, archive.ErrNotFound) holds.
type Desk interface {
	Intake
	Captures
	Records
	Questions
}

// Intake takes pictures in.
type Intake interface {
	// Batch takes in pictures that were sent together, so that a slip which goes
	// on from one to the next is read as one. It calls each for every page with
	// what was read, in the order of the pictures; Page.Capture is the capture's
	// id and Page.SHA256 that of the picture.
	Batch(site string, each func(record.Page) error) Batch
}

// Batch takes in one picture after the other.
type Batch interface {
	// Add keeps the file, reads it and keeps the reading. Its pages may come
	// with a later call. An error is one plain line that says what is wrong with
	// the file and what to do.
	Add(ctx context.Context, name string, raw []byte) error
	// End gives the pages that are held back.
	End(ctx context.Context) error
}

// Captures gives what was sent.
type Captures interface {
	Captures(ctx context.Context) ([]archive.Capture, error) // newest last
	Capture(ctx context.Context, id string) (archive.Capture, error)
	Readings(ctx context.Context, captureID string) ([]archive.Reading, error) // in page order
	Slip(ctx context.Context, captureID string, page, slip int) (archive.SlipReading, error)
	Original(ctx context.Context, captureID string) ([]byte, error)
	// Picture is one page of the original, decoded, on its own pixels: the
	// pixels that boxes and corners speak of.
	Picture(ctx context.Context, captureID string, page int) (image.Image, error)
}

// Records gives the records and takes what people decide about them.
type Records interface {
	Record(ctx context.Context, id string) (archive.Row, error)
	Rows(ctx context.Context, f archive.Filter) ([]archive.Row, error)
	Decide(ctx context.Context, d archive.Decision) error
	Story(ctx context.Context, recordID string) (archive.Story, error) // oldest first
	MayBeSame(ctx context.Context, recordID string) ([]archive.Alike, error)
}

// Questions answers across all records.
type Questions interface {
	Ask(ctx context.Context, question string) (index.Answer, error)
	Find(ctx context.Context, s index.Search) (index.Found, error)
	// Coverage judges every requirement of one site, or of all when site is
	// empty, for the dates from through to (2006-01-02, both included).
	Coverage(ctx context.Context, site, from, to string) ([]comply.Requirement, error)
	Sites(ctx context.Context) ([]Site, error) // by number
}

// Site is a station that records are known of: its number as records carry it
// and the name printed on its slips, when known.
type Site struct{ Number, Name string }
