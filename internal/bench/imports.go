package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"tankroll/fixtures"
)

// largePixels is that of the photos which are imported beside those of ordinary
// size: what telephones make at most.
const largePixels = 48e6

// imports measures what it takes to keep and read n pictures, beside reading them
// alone: on one processor, where a page may cost little more, and on all, where
// it should go as much faster as the machine lets processes be that share
// nothing. The clock counts, so other work on the machine does too.
func imports(ctx context.Context, out io.Writer, dir string, o options) error {
	if o.imports < 1 {
		return nil
	}
	files, err := printouts(o, dir)
	if err != nil {
		return err
	}
	half := len(files) / 2
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintf(w, "\nimport of %d\twall s\tCPU s\tpeak MB\t\n", len(files))
	row := func(what string, c work) {
		fmt.Fprintf(w, "%s\t%.1f\t%.1f\t%d\t\n", what, c.wall.Seconds(), c.cpu.Seconds(), c.peak>>20)
	}
	add := func(name string) []string { return []string{"add", "--json", "--archive", filepath.Join(dir, name)} }
	read, err := tree(ctx, true, o.program, append([]string{"read", "--json"}, files...))
	if err != nil {
		return err
	}
	row("read, one core", read)
	one, err := tree(ctx, true, o.program, append(append(add("one"), "--jobs", "1"), files...))
	if err != nil {
		return err
	}
	row("add, one core", one)
	all, err := tree(ctx, false, o.program, append(add("all"), files...))
	if err != nil {
		return err
	}
	row("add, all cores", all)
	apart, err := tree(ctx, false, o.program, append([]string{"read", "--json"}, files[:half]...), append([]string{"read", "--json"}, files[half:]...))
	if err != nil {
		return err
	}
	row("two reads at once", apart)
	large, err := enlarged(o, dir)
	if err != nil {
		return err
	}
	most, err := tree(ctx, false, o.program, append(append(add("large"), files[:half]...), large...))
	if err != nil {
		return err
	}
	row(fmt.Sprintf("add, %d of them of %.0f MP", len(large), largePixels/1e6), most)
	if err := w.Flush(); err != nil {
		return err
	}
	fmt.Fprintf(out, "%d cores: %.2f times one; processes that share nothing: %.2f times; a page costs %.1f %% more processor time than read alone\n",
		runtime.NumCPU(), one.wall.Seconds()/all.wall.Seconds(), read.wall.Seconds()/apart.wall.Seconds(), 100*(one.cpu.Seconds()/read.cpu.Seconds()-1))
	return nil
}

// printouts writes the pictures that are imported.
func printouts(o options, dir string) (files []string, err error) {
	for i := range o.imports {
		c, err := fixtures.Make(o.part, "photo", o.seed+uint64(i))
		if err != nil {
			return nil, err
		}
		files = append(files, filepath.Join(dir, fmt.Sprintf("import%03d.%s", i, strings.TrimPrefix(c.Ext, "."))))
		if err := os.WriteFile(files[i], c.Raw, 0o600); err != nil {
			return nil, err
		}
	}
	return files, nil
}

// enlarged writes some of the pictures with as many pixels as telephones make.
func enlarged(o options, dir string) (files []string, err error) {
	for i := range 3 {
		c, err := fixtures.Make(o.part, "photo", o.seed+uint64(i))
		if err != nil {
			return nil, err
		}
		img, _, err := image.Decode(bytes.NewReader(c.Raw))
		if err != nil {
			return nil, err
		}
		files = append(files, filepath.Join(dir, fmt.Sprintf("large%d.jpg", i)))
		if err := resize(img, largePixels, files[i]); err != nil {
			return nil, err
		}
	}
	return files, nil
}

// work is what some processes and their children took together.
type work struct {
	wall, cpu time.Duration
	peak      int64 // bytes that all of them held at one time
}

// tree runs the program once for each list of arguments, all at the same time, on
// one core or on all.
func tree(ctx context.Context, one bool, program string, lists ...[]string) (work, error) {
	ctx, cancel := context.WithTimeout(ctx, time.Hour)
	defer cancel()
	began := time.Now()
	var all []*exec.Cmd
	var errs bytes.Buffer
	ended := make(chan error, len(lists))
	for _, args := range lists {
		cmd := exec.CommandContext(ctx, program, args...)
		if one {
			cmd = exec.CommandContext(ctx, "taskset", append([]string{"-c", "0", program}, args...)...)
		}
		cmd.Stderr = &errs
		if err := cmd.Start(); err != nil {
			return work{}, err
		}
		all = append(all, cmd)
		go func() { ended <- cmd.Wait() }()
	}
	var w work
	var exit *exec.ExitError
	const often = 50 * time.Millisecond
	for left := len(all); left > 0; {
		select {
		case err := <-ended:
			if err != nil && !(errors.As(err, &exit) && exit.ExitCode() == 1) { // 1: some could not be read
				return w, fmt.Errorf("%w: %s", err, strings.TrimSpace(errs.String()))
			}
			left--
		case <-time.After(often):
			sum := int64(0)
			for _, cmd := range all {
				sum += held(cmd.Process.Pid)
			}
			w.peak = max(w.peak, sum)
		}
	}
	w.wall = time.Since(began)
	for _, cmd := range all {
		w.cpu += cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
	}
	return w, nil
}

// held is what a process and all below it hold now, in bytes; what several of
// them share counts once.
func held(pid int) (bytes int64) {
	rollup, err := os.ReadFile(fmt.Sprintf("/proc/%d/smaps_rollup", pid))
	if err != nil {
		return 0 // it has ended
	}
	for line := range strings.Lines(string(rollup)) {
		if f := strings.Fields(line); len(f) > 1 && f[0] == "Pss:" {
			kB, _ := strconv.ParseInt(f[1], 10, 64)
			bytes += kB << 10
		}
	}
	for _, child := range childrenOf(pid) {
		bytes += held(child)
	}
	return bytes
}
