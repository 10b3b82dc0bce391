package main

import (
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"github.com/mattn/go-isatty"

	"tankroll/internal/intake"
)

// meter shows how far a command has come: on a terminal a line that is drawn
// again and again below what is written, elsewhere a plain line now and then.
type meter struct {
	mu       sync.Mutex
	w        io.Writer
	terminal bool
	drawn    bool // the line stands there
	midway   bool // something was written that is not a whole line
}

// How often the line is drawn, and how often a plain one is written.
const (
	drawEvery  = 500 * time.Millisecond
	plainEvery = 30 * time.Second
)

// fewInputs are too few for plain lines: their results tell how far they are.
const fewInputs = 20

func newMeter(w io.Writer) *meter {
	f, ok := w.(*os.File)
	return &meter{w: w, terminal: ok && isatty.IsTerminal(f.Fd())}
}

// over is a writer that takes the meter's line away before it writes.
func (m *meter) over(w io.Writer) io.Writer { return &above{m, w} }

type above struct {
	m *meter
	w io.Writer
}

func (a *above) Write(b []byte) (int, error) {
	a.m.mu.Lock()
	defer a.m.mu.Unlock()
	a.m.wipe()
	if len(b) > 0 {
		a.m.midway = b[len(b)-1] != '\n'
	}
	return a.w.Write(b)
}

func (m *meter) wipe() {
	if m.drawn {
		fmt.Fprint(m.w, "\r\x1b[K")
		m.drawn = false
	}
}

// clear takes the line off the terminal.
func (m *meter) clear() {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.wipe()
}

// every is how often to show something.
func (m *meter) every() time.Duration {
	if m.terminal {
		return drawEvery
	}
	return plainEvery
}

func (m *meter) show(text string) {
	m.mu.Lock()
	defer m.mu.Unlock()
	switch {
	case !m.terminal:
		fmt.Fprintf(m.w, "tankroll: %s\n", text)
	case !m.midway:
		fmt.Fprintf(m.w, "\r\x1b[K%s", text)
		m.drawn = true
	}
}

// follow shows the progress of an import until done is called.
func (m *meter) follow(in *intake.Import) (done func()) {
	began := time.Now()
	stop, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		tick := time.NewTicker(m.every())
		defer tick.Stop()
		for {
			select {
			case <-stop:
				return
			case <-tick.C:
				if p := in.Progress(); m.terminal || p.Found > fewInputs {
					m.show(progress(p, time.Since(began)))
				}
			}
		}
	}()
	return func() {
		close(stop)
		<-ended
		m.clear()
	}
}

// progress says in a short line how far an import has come after some time.
func progress(p intake.Progress, took time.Duration) string {
	of := grouped(float64(p.Found))
	if !p.All {
		of += " found so far"
	}
	s := fmt.Sprintf("%s of %s", grouped(float64(p.Done)), of)
	if p.Earlier > 0 {
		s += fmt.Sprintf(", and %s kept earlier", grouped(float64(p.Earlier)))
	}
	if p.Pages > 0 {
		s += fmt.Sprintf(", %.2g pages a second", float64(p.Pages)/took.Seconds())
	}
	if left, ok := p.Left(took); ok {
		s += ", " + about(left) + " left"
	}
	return s
}

// about is a time as people say it.
func about(d time.Duration) string {
	switch {
	case d < 90*time.Second:
		return fmt.Sprintf("about %d s", max(int(d.Seconds()), 1))
	case d < 90*time.Minute:
		return fmt.Sprintf("about %d min", int(d.Minutes()+0.5))
	}
	return fmt.Sprintf("about %.1f h", d.Hours())
}
