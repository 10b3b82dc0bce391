// Package recognise turns pictures of lines into words. The recognizer is
// native code and runs in child processes of the same program: there it can be
// stopped at a deadline, may crash without harm, gives its memory back, and
// runs one thread a page, which is four times faster than its own choice.
package recognise

import (
	"bufio"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
)

// language is the recognizer's model.
const language = "eng"

// recyclePixels is after how many pixels a worker is replaced: the binding
// leaks about 0.2 MB a page of half a million pixels, so a worker grows by
// some 60 MB before it goes.
const recyclePixels = 150e6

// ErrNoData is returned by NewPool when the recognizer's model is not
// installed.
var ErrNoData = errors.New("recognizer data not found")

// Pool is a set of workers. Its methods may be called from several goroutines.
type Pool struct {
	program  string
	tessdata string
	idle     chan *worker // nil entries are workers not started yet
	closed   chan struct{}
	once     sync.Once
}

// NewPool prepares n workers; each starts when it is first needed. It returns
// ErrNoData when no model is installed.
func NewPool(n int) (*Pool, error) {
	dir, err := findTessdata()
	if err != nil {
		return nil, err
	}
	program, err := os.Executable()
	if err != nil {
		return nil, fmt.Errorf("find the program to run as a worker: %w", err)
	}
	p := &Pool{program: program, tessdata: dir, idle: make(chan *worker, n), closed: make(chan struct{})}
	for range n {
		p.idle <- nil
	}
	return p, nil
}

// findTessdata looks where distributions put the model. The binding must not
// be asked: it overruns a buffer when the model is missing.
func findTessdata() (string, error) {
	var dirs []string
	if env := os.Getenv("TESSDATA_PREFIX"); env != "" {
		dirs = []string{env, filepath.Join(env, "tessdata")}
	} else {
		dirs = []string{"/usr/share/tesseract-ocr/5/tessdata", "/usr/share/tesseract-ocr/4.00/tessdata",
			"/usr/share/tessdata", "/usr/share/tesseract/tessdata", "/usr/local/share/tessdata", "/opt/homebrew/share/tessdata"}
	}
	for _, dir := range dirs {
		if info, err := os.Stat(filepath.Join(dir, language+".traineddata")); err == nil && info.Mode().IsRegular() && info.Size() > 0 {
			return dir, nil
		}
	}
	return "", fmt.Errorf("%w: no %s.traineddata in %s: install the package tesseract-ocr-eng or set TESSDATA_PREFIX to its folder",
		ErrNoData, language, strings.Join(dirs, ", "))
}

// Close ends all workers and waits for them. Calls that are under way fail.
func (p *Pool) Close() error {
	p.once.Do(func() {
		close(p.closed)
		for range cap(p.idle) {
			if w := <-p.idle; w != nil {
				w.stop()
			}
		}
	})
	return nil
}

// Warm starts a worker when none of those at rest has started, without waiting
// for it: it loads its model on another processor while the picture is decoded.
// When that fails, Read will say so.
func (p *Pool) Warm() {
	select {
	case w := <-p.idle:
		if w == nil {
			w, _ = start(p.program, p.tessdata)
		}
		p.idle <- w
	default:
	}
}

// Mode is how the recognizer looks at a picture.
type Mode uint32

// The modes that are of use here, with the recognizer's own numbers.
const (
	Block Mode = 6 // several lines, one below the other
	Line  Mode = 7 // one line
	Raw   Mode = 13
)

// Read recognises one picture, black on white. When ctx ends, the worker that
// was at it is killed and the context's error returned.
//
// A picture all of one shade or a few pixels small has no words; the recognizer
// would make some up.
func (p *Pool) Read(ctx context.Context, g *image.Gray, mode Mode) ([]Word, error) {
	if blank(g) {
		return nil, ctx.Err()
	}
	var w *worker
	select {
	case <-ctx.Done():
		return nil, ctx.Err()
	case <-p.closed:
		return nil, errors.New("reader is closed")
	case w = <-p.idle:
	}
	hocr, w, err := p.ask(ctx, w, g, mode)
	p.idle <- w
	if err != nil {
		return nil, err
	}
	return parseHOCR(hocr)
}

// blank is whether a picture cannot hold print.
func blank(g *image.Gray) bool {
	const smallest = 6
	if g.Rect.Dx() < smallest || g.Rect.Dy() < smallest {
		return true
	}
	lo, hi := uint8(255), uint8(0)
	for y := g.Rect.Min.Y; y < g.Rect.Max.Y; y++ {
		for x := g.Rect.Min.X; x < g.Rect.Max.X; x++ {
			v := g.GrayAt(x, y).Y
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	const leastContrast = 8
	return int(hi)-int(lo) < leastContrast
}

// ask sends one picture to w, starting it when nil. It returns the worker to
// use next time: nil when this one died or is due for replacement. A worker
// that dies of a picture is tried once more, fresh: it may have been ill.
func (p *Pool) ask(ctx context.Context, w *worker, g *image.Gray, mode Mode) ([]byte, *worker, error) {
	var lastErr error
	for range 2 {
		if w == nil {
			var err error
			if w, err = start(p.program, p.tessdata); err != nil {
				return nil, nil, err
			}
		}
		hocr, err := w.read(ctx, g, mode)
		if w.broken || w.pixels > recyclePixels {
			w.stop()
			w = nil
		}
		if err == nil {
			return hocr, w, nil
		}
		if ctx.Err() != nil {
			return nil, w, ctx.Err()
		}
		lastErr = err
		if w != nil { // it lives and said no: asking again would not help
			break
		}
	}
	return nil, w, fmt.Errorf("recognise: %w", lastErr)
}

// worker is one child process.
type worker struct {
	cmd     *exec.Cmd
	in      *os.File
	out     *os.File
	replies *bufio.Reader
	errors  *tail
	pixels  int
	broken  bool
}

func start(program, tessdata string) (*worker, error) {
	childIn, in, err := os.Pipe()
	if err != nil {
		return nil, err
	}
	out, childOut, err := os.Pipe()
	if err != nil {
		return nil, errors.Join(err, childIn.Close(), in.Close())
	}
	w := &worker{cmd: exec.Command(program), in: in, out: out, replies: bufio.NewReaderSize(out, 1<<16), errors: &tail{}}
	w.cmd.Stdin, w.cmd.Stderr, w.cmd.ExtraFiles = childIn, w.errors, []*os.File{childOut}
	// The thread limit counts only when it is there before the process starts.
	w.cmd.Env = append(os.Environ(), "OMP_THREAD_LIMIT=1", envWorker+"=1", envTessdata+"="+tessdata)
	err = w.cmd.Start()
	childIn.Close()
	childOut.Close()
	if err != nil {
		in.Close()
		out.Close()
		return nil, fmt.Errorf("start recognition worker: %w", err)
	}
	return w, nil
}

func (w *worker) read(ctx context.Context, g *image.Gray, mode Mode) ([]byte, error) {
	// Killing the child closes its ends of both pipes, which ends any read or
	// write below.
	stop := context.AfterFunc(ctx, func() { w.cmd.Process.Kill() })
	reply, err := w.exchange(request(g, mode))
	if !stop() || err != nil {
		w.broken = true
	}
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		return nil, fmt.Errorf("worker ended: %w %s", err, w.errors)
	}
	w.pixels += g.Rect.Dx() * g.Rect.Dy()
	if len(reply) == 0 || reply[0] != statusDone {
		return nil, fmt.Errorf("worker: %s", reply[min(1, len(reply)):])
	}
	return reply[1:], nil
}

func (w *worker) exchange(msg []byte) ([]byte, error) {
	if err := writeFrame(w.in, msg); err != nil {
		return nil, err
	}
	return readFrame(w.replies)
}

func (w *worker) stop() {
	w.in.Close() // a healthy worker ends by itself
	if w.broken {
		w.cmd.Process.Kill()
	}
	w.cmd.Wait()
	w.out.Close()
}

func request(g *image.Gray, mode Mode) []byte {
	width, height := g.Rect.Dx(), g.Rect.Dy()
	msg := make([]byte, requestHeader, requestHeader+width*height)
	binary.LittleEndian.PutUint32(msg, uint32(mode))
	binary.LittleEndian.PutUint32(msg[4:], uint32(width))
	binary.LittleEndian.PutUint32(msg[8:], uint32(height))
	for y := range height {
		msg = append(msg, g.Pix[y*g.Stride:y*g.Stride+width]...)
	}
	return msg
}

// tail keeps the last words of a child for the error message.
type tail struct {
	mu  sync.Mutex
	buf []byte
}

func (t *tail) Write(b []byte) (int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	const keep = 400
	t.buf = append(t.buf, b...)
	t.buf = t.buf[max(0, len(t.buf)-keep):]
	return len(b), nil
}

func (t *tail) String() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	return strings.TrimSpace(string(t.buf))
}
