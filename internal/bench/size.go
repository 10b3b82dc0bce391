package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/draw"
	"image/jpeg"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	xdraw "golang.org/x/image/draw"

	"tankroll/fixtures"
)

// Phones send 12 megapixels, or 48 when asked to. Fixtures are as large as their
// print asks for, so one is enlarged: print, then, is larger than it need be,
// which is what such pictures are like.
const (
	sizeQuality = 90 // of the JPEG, as phones have it
	sizePhotos  = 4  // of different wear and ground
	sizeRuns    = 2  // of each, of which the fastest counts
)

// sizes reads a few photos of the part enlarged to so many megapixels, a comma
// between them, and prints time and memory beside plain tesseract's: of all photos
// together, and the highest ratio and peak of one. Without megapixels it does nothing.
func sizes(out io.Writer, dir, program, part string, seed uint64, megapixels string) error {
	if megapixels == "" {
		return nil
	}
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintf(w, "\n%d photos, MP\tCPU s\tplain CPU s\tratio\thighest\tpeak MB\tplain MB\t\n", sizePhotos)
	for _, mp := range strings.Split(megapixels, ",") {
		n, err := strconv.ParseFloat(mp, 64)
		if err != nil || !(n > 0) || n > 80 {
			return fmt.Errorf("-sizes: %q is no number of megapixels from 0 to 80", mp)
		}
		var own, plain cost
		highest := 0.0
		for i := range uint64(sizePhotos) {
			o, p, err := besides(dir, program, part, seed+i, n*1e6)
			if err != nil {
				return fmt.Errorf("%v MP: %w", n, err)
			}
			highest = max(highest, o.took.Seconds()/p.took.Seconds())
			own.took, own.peak = own.took+o.took, max(own.peak, o.peak)
			plain.took, plain.peak = plain.took+p.took, max(plain.peak, p.peak)
		}
		fmt.Fprintf(w, "%v\t%.2f\t%.2f\t%.2f\t%.2f\t%d\t%d\t\n", n, own.took.Seconds(), plain.took.Seconds(),
			own.took.Seconds()/plain.took.Seconds(), highest, own.peak>>20, plain.peak>>20)
	}
	return w.Flush()
}

// besides is what one photo of the part, enlarged to so many pixels, costs to read,
// and what it costs plain tesseract in its faster mode.
func besides(dir, program, part string, seed uint64, pixels float64) (own, plain cost, err error) {
	c, err := fixtures.Make(part, "photo", seed)
	if err != nil {
		return own, plain, err
	}
	photo, _, err := image.Decode(bytes.NewReader(c.Raw))
	if err != nil {
		return own, plain, err
	}
	file := filepath.Join(dir, "size.jpg")
	if err := enlarge(photo, pixels, file); err != nil {
		return own, plain, err
	}
	if own, err = fastest(program, "read", "--json", file); err != nil {
		return own, plain, err
	}
	if plain, err = fastest("tesseract", file, "-", "--psm", "3"); err != nil {
		return own, plain, err
	}
	six, err := fastest("tesseract", file, "-", "--psm", "6")
	if six.took < plain.took {
		plain = six
	}
	return own, plain, err
}

// enlarge writes the picture with about so many pixels.
func enlarge(m image.Image, pixels float64, file string) error {
	b := m.Bounds()
	k := math.Sqrt(pixels / float64(b.Dx()*b.Dy()))
	to := image.NewRGBA(image.Rect(0, 0, int(float64(b.Dx())*k+0.5), int(float64(b.Dy())*k+0.5)))
	xdraw.BiLinear.Scale(to, to.Rect, m, b, draw.Src, nil)
	var raw bytes.Buffer
	if err := jpeg.Encode(&raw, to, &jpeg.Options{Quality: sizeQuality}); err != nil {
		return err
	}
	return os.WriteFile(file, raw.Bytes(), 0o600)
}

// cost is what one run took.
type cost struct {
	took time.Duration // of a processor, its children's included: other work on the machine does not count
	peak int64         // bytes; the sum of what each of its processes held at most
}

// fastest runs a command on one core some times. The peak is the highest.
func fastest(name string, args ...string) (best cost, err error) {
	for i := range sizeRuns {
		c, err := watched(name, args...)
		if err != nil {
			return cost{}, err
		}
		if i > 0 {
			c.took, c.peak = min(c.took, best.took), max(c.peak, best.peak)
		}
		best = c
	}
	return best, nil
}

// watched runs a command on one core and looks at the memory of its processes
// all the while: the kernel's own account at the end is of the largest alone.
func watched(name string, args ...string) (cost, error) {
	ctx, cancel := context.WithTimeout(context.Background(), perPicture)
	defer cancel()
	var errs bytes.Buffer
	cmd := exec.CommandContext(ctx, name, args...)
	cmd.Stderr = &errs
	cmd.Env = append(os.Environ(), "OMP_THREAD_LIMIT=1", "GOMAXPROCS=1")
	if err := cmd.Start(); err != nil {
		return cost{}, err
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
				return c, fmt.Errorf("%w: %s", err, strings.TrimSpace(errs.String()))
			}
			for _, p := range peaks {
				c.peak += p
			}
			if len(peaks) == 0 {
				return c, errors.New("no memory was seen: /proc is not there")
			}
			return c, nil
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
