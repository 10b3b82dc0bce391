package main

import (
	"fmt"
	"strings"
	"sync"
	"time"
)

// tally shows on a meter how far a command has come whose work is known from the
// start. Its methods may be called from several goroutines.
type tally struct {
	m     *meter
	what  string
	begun time.Time

	mu   sync.Mutex
	last time.Time
}

func (a *app) tally(what string) *tally {
	return &tally{m: newMeter(a.err), what: what, begun: now(), last: now()}
}

// bytes tells of bytes done.
func (y *tally) bytes(done, total int64) { y.tell(done, total, size) }

// things tells of things done, such as records.
func (y *tally) things(done, total int64) {
	y.tell(done, total, func(n int64) string { return grouped(float64(n)) })
}

func (y *tally) tell(done, total int64, write func(int64) string) {
	y.mu.Lock()
	defer y.mu.Unlock()
	t := now()
	if t.Sub(y.last) < y.m.every() {
		return
	}
	y.last = t
	line := fmt.Sprintf("%s of %s %s", write(done), write(total), y.what)
	if spent := t.Sub(y.begun); done > 0 && total >= done && spent > time.Second {
		left := time.Duration(float64(spent) * float64(total-done) / float64(done))
		line += fmt.Sprintf(", %s/s, %s left", write(int64(float64(done)/spent.Seconds())), about(left))
	}
	y.m.show(line)
}

// clear takes the line off the terminal, before something else is said.
func (y *tally) clear() { y.m.clear() }

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
