// Command scale measures the index on made-up archives of growing size: how long
// it takes to make it and how large it is, how long questions and searches take
// in a running program and in a new one, and how much memory. Built with the tag
// sqlite_fts5 it does the same with SQLite's own tables and its full text index
// over the same rows.
//
//	go run -tags sqlite_fts5 ./internal/scale -n 10000,100000,1000000
package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/pprof"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"time"
)

func main() {
	sizes := flag.String("n", "2000,20000", "records of the archives, parted by commas")
	dir := flag.String("dir", "", "folder for the archives, kept afterwards; a temporary one otherwise")
	asks := flag.Int("asks", 600, "questions asked of each")
	job := flag.String("job", "", "what a process of its own is to do: build, ask, cold")
	profile := flag.String("profile", "", "with -job, file for its processor profile")
	flag.Parse()
	var err error
	if *job != "" {
		err = profiled(*profile, func() error { return child(*job, *dir, *asks) })
	} else {
		err = all(*sizes, *dir, *asks)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "scale:", err)
		os.Exit(1)
	}
}

// profiled runs f and notes where its time went, when a file is named.
func profiled(path string, f func() error) error {
	if path == "" {
		return f()
	}
	to, err := os.Create(path)
	if err != nil {
		return err
	}
	defer to.Close()
	if err := pprof.StartCPUProfile(to); err != nil {
		return err
	}
	defer pprof.StopCPUProfile()
	return f()
}

// result is what a child measured.
type result struct {
	Seconds   float64   `json:"seconds"`
	PeakMB    float64   `json:"peak_mb"`
	Asks      []float64 `json:"asks"`   // milliseconds, sorted
	Finds     []float64 `json:"finds"`  // milliseconds, sorted
	Wholes    []float64 `json:"wholes"` // of questions about every site; milliseconds, sorted
	Slips     int       `json:"slips"`
	Slow      []string  `json:"slow"` // the slowest questions
	Total     int       `json:"total"`
	Processor float64   `json:"processor"` // seconds of processor time
}

func all(sizes, dir string, asks int) error {
	if dir == "" {
		tmp, err := os.MkdirTemp("", "scale-")
		if err != nil {
			return err
		}
		defer os.RemoveAll(tmp)
		dir = tmp
	}
	load, _ := os.ReadFile("/proc/loadavg")
	fmt.Printf("load of the machine when it began: %s", load)
	fmt.Printf("%-9s %8s %9s %8s %9s %9s | %9s %9s %9s | %9s %9s | %9s %9s | %9s %9s\n", "records", "slips", "archive", "build s", "cpu s", "B/record", "ask 50%", "ask 99%", "cold", "whole 50%", "whole max", "find 50%", "find 99%", "build MB", "ask MB")
	var all []measured
	for _, size := range strings.Split(sizes, ",") {
		n, err := strconv.Atoi(strings.TrimSpace(size))
		if err != nil {
			return err
		}
		m, err := one(filepath.Join(dir, size), n, asks)
		if err != nil {
			return err
		}
		all = append(all, m)
	}
	for i, m := range all[min(1, len(all)):] {
		m.grown(all[i])
	}
	load, _ = os.ReadFile("/proc/loadavg")
	fmt.Printf("load of the machine when it ended: %s", load)
	return nil
}

// measured is one size's result.
type measured struct {
	records int
	cold    float64
	ask     []float64
}

// grown says how much longer answers take than with the records of another size.
func (m measured) grown(from measured) {
	fmt.Printf("from %d to %d records: ask 50%% %.1f times, ask 99%% %.1f times, cold %.1f times as long\n", from.records, m.records,
		at(m.ask, 0.5)/at(from.ask, 0.5), at(m.ask, 0.99)/at(from.ask, 0.99), m.cold/from.cold)
}

func one(dir string, n, asks int) (m measured, err error) {
	ctx := context.Background()
	other, err := newRival(filepath.Join(dir, "rival.db"))
	if err != nil {
		return m, err
	}
	if _, err := os.Stat(filepath.Join(dir, "tankroll.db")); err != nil {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			return m, err
		}
		if _, err = fill(ctx, dir, n, other.add); err != nil {
			return m, err
		}
	}
	built, err := run("build", dir, asks)
	if err != nil {
		return m, err
	}
	asked, err := run("ask", dir, asks)
	if err != nil {
		return m, err
	}
	var colds []float64
	for range 5 {
		start := time.Now()
		if _, err := run("cold", dir, asks); err != nil {
			return m, err
		}
		colds = append(colds, 1000*time.Since(start).Seconds())
	}
	slices.Sort(colds)
	fmt.Printf("%-9d %8d %6.0f MB %8.1f %9.1f %9d | %6.1f ms %6.1f ms %6.0f ms | %6.1f ms %6.1f ms | %6.1f ms %6.1f ms | %9.0f %9.0f\n",
		n, asked.Slips, float64(sizeOf(filepath.Join(dir, "tankroll.db")))/1e6, built.Seconds, built.Processor, sizeOf(filepath.Join(dir, "index"))/int64(n),
		at(asked.Asks, 0.5), at(asked.Asks, 0.99), at(colds, 0.5),
		at(asked.Wholes, 0.5), at(asked.Wholes, 1), at(asked.Finds, 0.5), at(asked.Finds, 0.99), built.PeakMB, asked.PeakMB)
	for _, s := range asked.Slow {
		fmt.Println("          slow:", s)
	}
	return measured{n, at(colds, 0.5), asked.Asks}, other.measure(n)
}

// run does a job in a process of its own, so that its memory is its own.
func run(job, dir string, asks int) (result, error) {
	self, err := os.Executable()
	if err != nil {
		return result{}, err
	}
	c := exec.Command(self, "-job", job, "-dir", dir, "-asks", strconv.Itoa(asks))
	c.Stderr = os.Stderr
	out, err := c.Output()
	if err != nil {
		return result{}, fmt.Errorf("%s: %w", job, err)
	}
	var r result
	if err := json.Unmarshal(out, &r); err != nil {
		return r, err
	}
	if use, ok := c.ProcessState.SysUsage().(*syscall.Rusage); ok {
		r.PeakMB = float64(use.Maxrss) / 1024
	}
	r.Processor = (c.ProcessState.UserTime() + c.ProcessState.SystemTime()).Seconds()
	return r, nil
}

func sizeOf(path string) int64 {
	size := int64(0)
	_ = filepath.WalkDir(path, func(_ string, d fs.DirEntry, err error) error {
		if err == nil && d.Type().IsRegular() {
			if info, err := d.Info(); err == nil {
				size += info.Size()
			}
		}
		return nil
	})
	return size
}

// at is a quantile of sorted numbers.
func at(sorted []float64, q float64) float64 {
	if len(sorted) == 0 {
		return 0
	}
	return sorted[min(int(q*float64(len(sorted))), len(sorted)-1)]
}
