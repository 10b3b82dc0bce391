// Package worker decodes HEIC and PDF in a child process of the same program.
// Their decoders are large, old and written in C++, and see hostile bytes: they
// run in a sandbox that bounds what they can do, and in a process that can be
// killed at a deadline and gives its memory back.
package worker

import (
	"bufio"
	"context"
	"encoding/gob"
	"errors"
	"fmt"
	"image"
	"io"
	"os"
	"os/exec"
	"time"

	"tankroll/ocr/decode/pixels"
	"tankroll/ocr/decode/reason"
)

// idleTime is how long a child without work is kept: long enough for the next
// page and the next file, short enough that a server does not hold a hundred
// megabytes for nothing.
const idleTime = 20 * time.Second

// Worker decodes one page at a time; its child starts when it is first needed.
// It may be used by several goroutines.
type Worker struct {
	turn  chan struct{} // held by who uses or ends the child
	child *child
	idle  *time.Timer
}

// New makes a worker; nothing is started.
func New() *Worker { return &Worker{turn: make(chan struct{}, 1)} }

// Close ends the child once it is done; the worker may be used again.
func (w *Worker) Close() error {
	w.turn <- struct{}{}
	defer func() { <-w.turn }()
	w.end()
	return nil
}

// Picture decodes a HEIC of at most limit pixels. The error wraps one of the
// reasons or is the context's; so it is with the calls below.
func (w *Worker) Picture(ctx context.Context, raw []byte, limit int) (pixels.Page, error) {
	_, p, err := w.do(ctx, request{Job: jobHEIC, Limit: limit}, raw)
	return p, err
}

// PDFPages counts the pages of a PDF.
func (w *Worker) PDFPages(ctx context.Context, raw []byte) (int, error) {
	a, _, err := w.do(ctx, request{Job: jobPDFPages}, raw)
	return a.Pages, err
}

// PDFPage draws page n of a PDF, counted from 0, with at most limit pixels.
func (w *Worker) PDFPage(ctx context.Context, raw []byte, n, limit int) (pixels.Page, error) {
	_, p, err := w.do(ctx, request{Job: jobPDFPage, N: n, Limit: limit}, raw)
	return p, err
}

// child is a running child process.
type child struct {
	cmd      *exec.Cmd
	in       io.WriteCloser
	out      *bufio.Reader
	requests *gob.Encoder
	replies  *gob.Decoder
}

func (w *Worker) do(ctx context.Context, q request, raw []byte) (a reply, p pixels.Page, err error) {
	if err := ctx.Err(); err != nil {
		return a, p, err
	}
	select {
	case <-ctx.Done():
		return a, p, ctx.Err()
	case w.turn <- struct{}{}:
	}
	defer func() { <-w.turn }()
	if w.idle != nil {
		w.idle.Stop()
	}
	if w.child == nil {
		if w.child, err = start(); err != nil {
			return a, p, err
		}
	}
	stop := context.AfterFunc(ctx, w.child.kill)
	q.Size = len(raw)
	a, p, err = w.child.ask(q, raw)
	if !stop() || err != nil {
		// Killed, or out of step with what it was asked.
		w.end()
	}
	switch {
	case ctx.Err() != nil:
		return reply{}, pixels.Page{}, ctx.Err()
	case err != nil:
		return reply{}, pixels.Page{}, fmt.Errorf("%w: its decoder broke down (%v): export it again as JPEG or PNG", reason.ErrNotPicture, err)
	}
	w.idle = time.AfterFunc(idleTime, func() { _ = w.Close() })
	if a.Error != "" {
		return reply{}, pixels.Page{}, remote{a.Error, reasons[min(max(a.Reason, 0), len(reasons)-1)]}
	}
	return a, p, nil
}

// end ends the child, if there is one.
func (w *Worker) end() {
	if w.child != nil {
		w.child.in.Close()
		w.child.kill()
		_ = w.child.cmd.Wait()
		w.child = nil
	}
}

// remote is an error as the child told it.
type remote struct {
	text   string
	reason error
}

func (e remote) Error() string { return e.text }
func (e remote) Unwrap() error { return e.reason }

// notStarted is the error of a decoder's process that the system does not give.
func notStarted(err error) error {
	return fmt.Errorf("no process to decode in can be started (%w): end other programs and try again", err)
}

func start() (*child, error) {
	program, err := os.Executable()
	if err != nil {
		return nil, fmt.Errorf("the program is not found to run as a decoder (%w): start it again", err)
	}
	cmd := exec.Command(program)
	cmd.Env = append(os.Environ(), envWorker+"=1")
	in, err := cmd.StdinPipe()
	if err != nil {
		return nil, notStarted(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, notStarted(err)
	}
	if err := cmd.Start(); err != nil {
		return nil, notStarted(err)
	}
	r := bufio.NewReaderSize(out, 1<<16)
	return &child{cmd, in, r, gob.NewEncoder(in), gob.NewDecoder(r)}, nil
}

func (c *child) kill() { _ = c.cmd.Process.Kill() }

// ask sends one request and reads its answer.
func (c *child) ask(q request, raw []byte) (a reply, p pixels.Page, err error) {
	if err := c.requests.Encode(q); err != nil {
		return a, p, err
	}
	if _, err := c.in.Write(raw); err != nil {
		return a, p, err
	}
	if err := c.replies.Decode(&a); err != nil {
		return a, p, err
	}
	if a.Error != "" || q.Job == jobPDFPages {
		return a, p, nil
	}
	if err := reason.CheckSize(a.W, a.H, q.Limit); err != nil {
		return a, p, err
	}
	if a.CW < 0 || a.CW > a.W || a.CH < 0 || a.CH > a.H {
		return a, p, errors.New("colour of another size than the page")
	}
	p.Step = a.Step
	if p.Luma, err = c.plane(a.W, a.H); err != nil || a.CW*a.CH == 0 {
		return a, p, err
	}
	if p.Cb, err = c.plane(a.CW, a.CH); err != nil {
		return a, p, err
	}
	p.Cr, err = c.plane(a.CW, a.CH)
	return a, p, err
}

func (c *child) plane(w, h int) (*image.Gray, error) {
	g := image.NewGray(image.Rect(0, 0, w, h))
	_, err := io.ReadFull(c.out, g.Pix)
	return g, err
}
