package main

import (
	"fmt"
	"os"
	"strings"
	"sync"
	"time"
)

// meter shows how far a long command has come, on a terminal by a line that
// changes, elsewhere by a plain line now and then. It is written to standard
// error. Its methods may be called from several goroutines.
type meter struct {
	a        *app
	what     string
	terminal bool
	every    time.Duration
	begun    time.Time

	mu    sync.Mutex
	last  time.Time
	width int // of what stands on the terminal's line
}

func (a *app) meter(what string) *meter {
	m := &meter{a: a, what: what, every: time.Minute, begun: now(), last: now()}
	if f, ok := a.err.(*os.File); ok {
		info, err := f.Stat()
		m.terminal = err == nil && info.Mode()&os.ModeCharDevice != 0
	}
	if m.terminal {
		m.every = 200 * time.Millisecond
	}
	return m
}

// bytes tells of bytes done.
func (m *meter) bytes(done, total int64) { m.tell(done, total, size) }

// things tells of things done, such as records.
func (m *meter) things(done, total int64) {
	m.tell(done, total, func(n int64) string { return grouped(float64(n)) })
}

func (m *meter) tell(done, total int64, write func(int64) string) {
	m.mu.Lock()
	defer m.mu.Unlock()
	t := now()
	if t.Sub(m.last) < m.every {
		return
	}
	m.last = t
	line := fmt.Sprintf("%s of %s %s", write(done), write(total), m.what)
	if spent := t.Sub(m.begun); done > 0 && total >= done && spent > time.Second {
		left := time.Duration(float64(spent) * float64(total-done) / float64(done))
		line += fmt.Sprintf(", %s/s, %s left", write(int64(float64(done)/spent.Seconds())), left.Round(time.Second))
	}
	if !m.terminal {
		fmt.Fprintln(m.a.err, line)
		return
	}
	fmt.Fprintf(m.a.err, "\r%-*s", m.width, line)
	m.width = max(m.width, len(line))
}

// clear takes the line off the terminal, before something else is said.
func (m *meter) clear() {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.width > 0 {
		fmt.Fprintf(m.a.err, "\r%s\r", strings.Repeat(" ", m.width))
		m.width = 0
	}
}

// size writes a number of bytes for people.
func size(n int64) string {
	v := float64(n)
	for _, unit := range []string{"bytes", "kB", "MB", "GB"} {
		if v < 1000 {
			if unit == "bytes" {
				return fmt.Sprintf("%d bytes", n)
			}
			return fmt.Sprintf("%.1f %s", v, unit)
		}
		v /= 1000
	}
	return fmt.Sprintf("%.1f TB", v)
}

// counted writes a number of things.
func counted(n int64, one string) string {
	switch {
	case n == 1:
		return "1 " + one
	case strings.HasSuffix(one, "y"):
		return grouped(float64(n)) + " " + strings.TrimSuffix(one, "y") + "ies"
	}
	return grouped(float64(n)) + " " + one + "s"
}
