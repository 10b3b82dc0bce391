// Package pdf draws the pages of PDF files with PDFium, which runs in a sandbox:
// no files, no network, bounded memory.
//
// A page that is one scanned picture is drawn at the picture's own size, so that
// every pixel of the scan becomes one pixel of the page; see resolution.go.
package pdf

import (
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/klippa-app/go-pdfium"
	pdfiumerrors "github.com/klippa-app/go-pdfium/errors"
	"github.com/klippa-app/go-pdfium/references"
	"github.com/klippa-app/go-pdfium/requests"
	"github.com/klippa-app/go-pdfium/webassembly"
	"github.com/tetratelabs/wazero"

	"tankroll/ocr/decode/reason"
	"tankroll/ocr/decode/sandbox"
)

// memory bounds the sandbox, in bytes: a 64 MB file, an 80 megapixel page at 4
// bytes a pixel and a picture of as many pixels at 4 bytes fit.
const memory = 1 << 30

// Engine draws pages, one at a time. It starts when it is first needed.
type Engine struct {
	cache  *sandbox.Cache
	memory int64 // of the sandbox
	pool   pdfium.Pool
}

// New makes an engine; nothing is started.
func New(cache *sandbox.Cache) *Engine { return &Engine{cache: cache, memory: memory} }

// Pages counts the pages of a file. The error wraps one of the reasons.
func (e *Engine) Pages(raw []byte) (n int, err error) {
	err = e.with(raw, func(d document) error {
		c, err := d.FPDF_GetPageCount(&requests.FPDF_GetPageCount{Document: d.ref})
		if err != nil {
			return err
		}
		if n = c.PageCount; n <= 0 {
			return fmt.Errorf("%w: the PDF has no pages: save it again", reason.ErrNotPicture)
		}
		return nil
	})
	return n, err
}

// document is an opened file in a fresh instance of PDFium.
type document struct {
	pdfium.Pdfium
	ref references.FPDF_DOCUMENT
}

// with opens raw in an instance of its own, whatever other files did to theirs,
// and closes both. An instance takes a hundredth of a second.
func (e *Engine) with(raw []byte, use func(document) error) (err error) {
	if err := e.start(); err != nil {
		return err // the world's doing, not the file's
	}
	defer func() {
		// The binding looks into memory that hostile bytes may have written.
		if r := recover(); r != nil {
			err = fmt.Errorf("the decoder broke down: %v", r)
		}
		err = explain(err)
	}()
	instance, err := e.pool.GetInstance(startTime)
	if err != nil {
		return err
	}
	defer instance.Close()
	doc, err := instance.OpenDocument(&requests.OpenDocument{File: &raw})
	if err != nil {
		return err
	}
	return use(document{instance, doc.Document})
}

// startTime is how long making an instance may take; a hundredth of a second is
// usual.
const startTime = time.Minute

func (e *Engine) start() (err error) {
	if e.pool != nil {
		return nil
	}
	e.pool, err = webassembly.Init(webassembly.Config{
		Context:       e.cache.Context(),
		MaxTotal:      1,
		FSConfig:      wazero.NewFSConfig(), // without it the whole disk would be open to the file
		RuntimeConfig: e.cache.Config(e.memory),
		Stdout:        io.Discard,
		Stderr:        io.Discard,
	})
	if err != nil {
		return fmt.Errorf("the PDF decoder does not start (%w): free memory and try again", err)
	}
	return nil
}

// explain says which of the reasons an error of PDFium is.
func explain(err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, reason.ErrTooLarge), errors.Is(err, reason.ErrNotPicture), errors.Is(err, reason.ErrUnsupported):
		return err
	case errors.Is(err, pdfiumerrors.ErrPassword), errors.Is(err, pdfiumerrors.ErrSecurity):
		return fmt.Errorf("an encrypted PDF is %w: save it without a password", reason.ErrUnsupported)
	}
	return fmt.Errorf("%w: damaged PDF (%s): save it again, or export its pages as JPEG or PNG", reason.ErrNotPicture, sandbox.Brief(err))
}
