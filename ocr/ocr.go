// Package ocr reads photos and scans of printouts into slips: lines of words
// with their place on the original, other readings and how far each is to be
// trusted. It does not know what the words mean.
//
//	r, err := ocr.NewReader(ocr.Options{})
//	defer r.Close()
//	for page, err := range r.Pages(ctx, raw) { … page.Slips … }
//
// A page goes through decode (bytes to pixels), paper (where the slips lie and
// which way is up), ink (print lifted off its paper) and lines (cut into lines).
// Lines are read twice: by recognise, a general recognizer, and by slipnet on the
// print head's own grid of cells, which grid lays; what both say is put together.
// What people wrote and stamped on a slip is found by marks, before and after it
// stands upright, taken off and reported as Slip.Marks.
// Every step measures first and leaves its input alone when the measure is
// doubtful. With Options.Trace set every step leaves a numbered picture, and the
// cells a table of what each was read as. README.md beside this file follows one
// faded slip through all of it.
//
// Places are pixels of the original as every viewer shows it, that is with the
// camera's own mark of how it was held obeyed.
package ocr

import (
	"context"
	"errors"
	"fmt"
	"image"
	"iter"
	"runtime"
	"time"

	"tankroll/ocr/decode"
	"tankroll/ocr/glyph"
	"tankroll/ocr/papernet"
	"tankroll/ocr/recognise"
	"tankroll/ocr/slipnet"
	"tankroll/ocr/stance"
	"tankroll/ocr/wordlist"
	"tankroll/record"
)

// Version grows whenever the same picture may read differently.
//
//	1: first
//	2: stains lifted off, turn told by shapes, WebP in its full range, HEIC and PDF
//	3: height of capitals by rows, lines in other shapes, coloured stripes taken off, bars by their neighbours, weights of more faces
//	4: letters of their own widths are told from those on a grid, specks come off, outlines that shadows do not split
//	5: stains and dark ground do not cut a slip, characters are held against each other by both readings
//	6: outlines of soft grain are not read beside print, lines say whether an empty one stands above them, cells beside their place are moved
//	7: lines of letters that stand far apart are found, widths that fit nearly as well are read, cells are laid anew below words that only the recognizer reads, lines that fan out are laid level
//	8: outlines end where the ground begins, slips of a column are told apart, pages whose edges do not show are read by blocks of print, lines beside bars are found
//	9: ink of pens and stamps is found, taken off where it can be told from print, and doubts the words below it
//	10: the whole picture is the slip only where it reads as surely as its parts, both axes are tried where a slip reads poorly, leaders tell nothing of a line's shape
//	11: borders of cells are told by the lines around, print survives at the edges of stripes, slips are read twice a pixel apart, letters that look alike are told by words, clear outlines stay whole
//	12: characters that a face makes alike are told for the whole slip, base lines by their neighbours, inverse titles by their letters, poorly read slips are tried at other heights
//	13: what is paper is told by a network, the recognizer weighs less against the cells, what the network cannot read is no line
//	14: tops and tails of the lines close by are taken off cells, bars in a row are bars to both readings, words with figures are listed, a torn end is no print on a stripe
//	15: where a picture shows colour the end of the roll is told by its colour alone
//	16: what is left of a character around a mark keeps it from being a leader's, slips laid aside over each other are parted
//	17: slips on a sheet as white as they are are told apart by a network, and from its border
//	18: a slip that is seen as one on its ground is one, also where tape or folds look like gaps
//	19: parts of slips told apart are as large as slips that lie alone, a slip that runs off the picture is one like any other
const Version = 19

// The reasons why bytes cannot be opened as a picture, for errors.Is.
var (
	ErrEmpty       = decode.ErrEmpty
	ErrNotPicture  = decode.ErrNotPicture
	ErrTruncated   = decode.ErrTruncated
	ErrTooLarge    = decode.ErrTooLarge
	ErrUnsupported = decode.ErrUnsupported
	// ErrNoRecognizer is returned by NewReader when the recognizer's data are
	// not installed; its text says what to install.
	ErrNoRecognizer = recognise.ErrNoData
	// ErrTime is a page's error when it took longer than Limits.Time.
	ErrTime = errors.New("page took too long")
)

// Options says how to read. The zero value is a good choice.
type Options struct {
	Limits  Limits
	Trace   string // folder for a picture of every step and a table of the cells; "" for none
	Workers int    // pages or slips recognised at once; 0 means one per processor, at most 4
	Room    int64  // pixels of all pages in work at once, which bounds the memory; 0 for no bound

	FirstReading bool // read lines by the recognizer alone, not cell by cell as well: to see what the second reading gives
	Letters      bool // say of every character how often such a one is right: record.Word.Letters
}

// Limits bounds what one input may cost. Zero fields mean the defaults: 64 MB,
// 80 million pixels a page, 200 pages, 2 minutes a page.
type Limits struct {
	Bytes  int64
	Pixels int
	Pages  int
	Time   time.Duration // per page
}

// WithDefaults fills zero fields with the defaults.
func (l Limits) WithDefaults() Limits {
	d := l.decode().WithDefaults()
	l.Bytes, l.Pixels, l.Pages = d.Bytes, d.Pixels, d.Pages
	if l.Time <= 0 {
		l.Time = pageTime
	}
	return l
}

func (l Limits) decode() decode.Limits {
	return decode.Limits{Bytes: l.Bytes, Pixels: l.Pixels, Pages: l.Pages}
}

// pageTime is generous: a clean page takes a second or two, a binder page with
// a dozen faded slips on a slow machine twenty.
const pageTime = 2 * time.Minute

// Page is one page of an input. Err says why it could not be read; then Slips
// is empty. A page without print has no slips or slips without lines.
type Page struct {
	Number int // from 1
	Size   image.Point
	Slips  []record.Slip
	Err    error
}

// RunWorkerIfAsked must be the first line of main and TestMain of every
// program that makes a Reader: recognition, and decoding of HEIC and PDF, run in
// child processes of the same program, and this is where such a child starts. It does nothing otherwise.
func RunWorkerIfAsked() {
	recognise.RunWorkerIfAsked()
	decode.RunWorkerIfAsked()
}

// Reader reads pictures. It may be used by several goroutines; close it to end
// its child processes.
type Reader struct {
	opts  Options
	files *decode.Decoder
	pool  *recognise.Pool
	net   *glyph.Net     // reads one cell
	whole *slipnet.Net   // reads all cells of a slip
	list  *wordlist.List // tells letters by the words that they make
	stand *stance.Net    // tells print on its feet from print on its head
	sheet *papernet.Net  // tells paper from what it lies on
	apart *papernet.Net  // tells slips on a sheet apart
	mix   mix
	room  room

	testOnlyWord  func(record.Word, []char)         // sees every word with what speaks for it
	testOnlyLoose func(record.Word, recognise.Word) // and every one that only the recognizer read
	testOnlyStrip func(strip)                       // sees every line that the recognizer is given
}

// NewReader checks that the recognizer is installed. Child processes start with
// the first picture.
func NewReader(opts Options) (*Reader, error) {
	if opts.Workers <= 0 {
		opts.Workers = min(runtime.NumCPU(), 4)
	}
	opts.Limits = opts.Limits.WithDefaults()
	pool, err := recognise.NewPool(opts.Workers)
	if err != nil {
		return nil, fmt.Errorf("ocr: %w", err)
	}
	net, err := glyph.Load()
	if err != nil {
		return nil, fmt.Errorf("ocr: %w", err)
	}
	whole, err := slipnet.Load()
	if err != nil {
		return nil, fmt.Errorf("ocr: %w", err)
	}
	stand, err := stance.Load()
	if err != nil {
		return nil, fmt.Errorf("ocr: %w", err)
	}
	sheet, err := papernet.Load()
	if err != nil {
		return nil, fmt.Errorf("ocr: %w", err)
	}
	apart, err := papernet.LoadApart()
	if err != nil {
		return nil, fmt.Errorf("ocr: %w", err)
	}
	return &Reader{opts: opts, files: decode.New(), pool: pool, net: net, whole: whole, stand: stand, sheet: sheet, apart: apart, mix: defaultMix, list: wordlist.Load(glyph.Alphabet), room: newRoom(opts.Room)}, nil
}

// Close ends the child processes; reads that are under way fail.
func (r *Reader) Close() error { return errors.Join(r.files.Close(), r.pool.Close()) }

// Pages reads raw page by page. The second value is an error when raw cannot
// be opened at all (see the Err variables) or ctx has ended; it is the last
// then. A page that alone is damaged comes with Page.Err and reading goes on.
func (r *Reader) Pages(ctx context.Context, raw []byte) iter.Seq2[Page, error] {
	return func(yield func(Page, error) bool) {
		file, err := r.Open(ctx, raw)
		if err != nil {
			yield(Page{}, err)
			return
		}
		for n := range file.Pages() {
			page := file.Page(ctx, n)
			if ctx.Err() != nil {
				yield(Page{}, ctx.Err())
				return
			}
			// A single picture that cannot be decoded is an input that cannot
			// be opened.
			if file.Pages() == 1 && page.Err != nil && !errors.Is(page.Err, ErrTime) && page.Size == (image.Point{}) {
				yield(Page{}, fmt.Errorf("ocr: %w", page.Err))
				return
			}
			if !yield(page, nil) {
				return
			}
		}
	}
}

// open looks at a file's header within the time limit of a page.
func (r *Reader) open(ctx context.Context, raw []byte) (*decode.File, error) {
	limited, cancel := context.WithTimeout(ctx, r.opts.Limits.Time)
	defer cancel()
	file, err := r.files.Open(limited, raw, r.opts.Limits.decode())
	if err != nil {
		return nil, r.opened(ctx, err)
	}
	return file, nil
}

// opened is the error of a file that could not be opened.
func (r *Reader) opened(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return ctx.Err()
	}
	return fmt.Errorf("ocr: %w", r.late(ctx, err))
}

// late says so when err is that the page's time was up.
func (r *Reader) late(ctx context.Context, err error) error {
	if errors.Is(err, context.DeadlineExceeded) && ctx.Err() == nil {
		return fmt.Errorf("%w: not done after %v: use a smaller picture or raise the limit of time", ErrTime, r.opts.Limits.Time)
	}
	return err
}
