package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// cost is what one run took.
type cost struct {
	took time.Duration // of a processor, its children's included: other work on the machine does not count
	peak int64         // bytes; the sum of what each of its processes held at most
}

// fastest runs a command on one core some times: what it says, its least time and
// its highest peak.
func fastest(ctx context.Context, name string, args ...string) (said []byte, best cost, err error) {
	for i := range sizeRuns {
		out, c, err := watched(ctx, name, args...)
		if err != nil {
			return nil, cost{}, err
		}
		if i > 0 {
			c.took, c.peak = min(c.took, best.took), max(c.peak, best.peak)
		}
		said, best = out, c
	}
	return said, best, nil
}

// watched runs a command on one core and looks at the memory of its processes
// all the while: the kernel's own account at the end is of the largest alone.
func watched(ctx context.Context, name string, args ...string) ([]byte, cost, error) {
	ctx, cancel := context.WithTimeout(ctx, perPicture)
	defer cancel()
	var out, errs bytes.Buffer
	cmd := onOneCore(ctx, &out, &errs, name, args...)
	if err := cmd.Start(); err != nil {
		return nil, cost{}, err
	}
	done := make(chan error, 1)
	go func() { done <- cmd.Wait() }()
	peaks := map[int]int64{}
	const often = 10 * time.Millisecond // a run is hundreds of these
	for {
		select {
		case err := <-done:
			c := cost{took: cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()}
			if err != nil {
				return nil, c, fmt.Errorf("%w: %s", err, strings.TrimSpace(errs.String()))
			}
			for _, p := range peaks {
				c.peak += p
			}
			if len(peaks) == 0 {
				return nil, c, errors.New("no memory was seen: /proc is not there")
			}
			return out.Bytes(), c, nil
		case <-time.After(often):
			look(cmd.Process.Pid, peaks)
		}
	}
}

// look notes the peak so far of a process and of all below it, in bytes.
func look(pid int, peaks map[int]int64) {
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return // it has ended
	}
	for line := range strings.Lines(string(status)) {
		if f := strings.Fields(line); len(f) > 1 && f[0] == "VmHWM:" {
			kB, _ := strconv.ParseInt(f[1], 10, 64)
			peaks[pid] = max(peaks[pid], kB<<10)
		}
	}
	for _, child := range childrenOf(pid) {
		look(child, peaks)
	}
}

// childrenOf lists the processes that a process has started.
func childrenOf(pid int) (out []int) {
	tasks, _ := filepath.Glob(fmt.Sprintf("/proc/%d/task/*/children", pid))
	for _, t := range tasks {
		children, _ := os.ReadFile(t)
		for _, c := range strings.Fields(string(children)) {
			if n, err := strconv.Atoi(c); err == nil {
				out = append(out, n)
			}
		}
	}
	return out
}
