package worker

import (
	"bufio"
	"encoding/gob"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"

	"tankroll/ocr/decode/heif"
	"tankroll/ocr/decode/pdf"
	"tankroll/ocr/decode/pixels"
	"tankroll/ocr/decode/reason"
	"tankroll/ocr/decode/sandbox"
)

// envWorker tells the child that it is one.
const envWorker = "TANKROLL_DECODE_WORKER"

// RunIfAsked turns this process into a decoding worker when its parent started it
// as one, and then never returns. Otherwise it does nothing.
func RunIfAsked() {
	if os.Getenv(envWorker) == "" {
		return
	}
	// A terminal sends Ctrl-C to children too; when to end is the parent's word.
	signal.Ignore(os.Interrupt)
	if err := serve(os.Stdin, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "decoding worker:", err)
		os.Exit(1)
	}
	os.Exit(0)
}

// job is what the child is to do.
type job uint8

const (
	jobHEIC     job = iota // decode the picture
	jobPDFPages            // count the pages
	jobPDFPage             // draw page N
)

// request comes before Size bytes of the file.
type request struct {
	Job   job
	N     int // page, from 0
	Limit int // pixels
	Size  int
}

// reply comes before the planes of the page: W x H bytes of brightness and, when
// it has colour, twice CW x CH bytes.
type reply struct {
	Reason int // of the error, see reasons
	Error  string
	Pages  int
	W, H   int
	CW, CH int
	Step   int
}

// reasons are those that decoders give, by the number under which they travel.
// 0 is any other error.
var reasons = []error{nil, reason.ErrEmpty, reason.ErrNotPicture, reason.ErrTruncated, reason.ErrTooLarge, reason.ErrUnsupported}

// serve answers requests until its input ends, which is also how a worker whose
// parent died comes to its end.
func serve(in io.Reader, out io.Writer) error {
	r, w := bufio.NewReaderSize(in, 1<<16), bufio.NewWriterSize(out, 1<<16)
	requests, replies := gob.NewDecoder(r), gob.NewEncoder(w)
	cache := new(sandbox.Cache)
	engines := engines{heif.New(cache), pdf.New(cache)}
	for {
		var q request
		if err := requests.Decode(&q); errors.Is(err, io.EOF) {
			return nil
		} else if err != nil {
			return err
		}
		raw := make([]byte, q.Size)
		if _, err := io.ReadFull(r, raw); err != nil {
			return err
		}
		a, page := engines.answer(q, raw)
		if err := replies.Encode(a); err != nil {
			return err
		}
		if page.Luma != nil {
			w.Write(page.Luma.Pix)
		}
		if page.Cb != nil {
			w.Write(page.Cb.Pix)
			w.Write(page.Cr.Pix)
		}
		if err := w.Flush(); err != nil {
			return err
		}
	}
}

type engines struct {
	heif *heif.Engine
	pdf  *pdf.Engine
}

func (e engines) answer(q request, raw []byte) (a reply, p pixels.Page) {
	var err error
	switch q.Job {
	case jobHEIC:
		p, err = e.heif.Picture(raw, q.Limit)
	case jobPDFPages:
		a.Pages, err = e.pdf.Pages(raw)
	case jobPDFPage:
		p, err = e.pdf.Page(raw, q.N, q.Limit)
	default:
		err = fmt.Errorf("no job %d", q.Job)
	}
	if err != nil {
		a.Error = err.Error()
		for i, why := range reasons {
			if why != nil && errors.Is(err, why) {
				a.Reason = i
			}
		}
		return a, pixels.Page{}
	}
	if p.Luma != nil {
		a.W, a.H, a.Step = p.Luma.Rect.Dx(), p.Luma.Rect.Dy(), p.Step
	}
	if p.Cb != nil {
		a.CW, a.CH = p.Cb.Rect.Dx(), p.Cb.Rect.Dy()
	}
	return a, p
}
