package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	_ "image/jpeg" // the size of the pictures
	_ "image/png"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"tankroll/fixtures"
	"tankroll/internal/score"
	"tankroll/record"
)

// perPicture bounds one reading; a reader that needs longer has hung.
const perPicture = 3 * time.Minute

// result sums what a reader made of the pictures of one level.
type result struct {
	level           string
	words, plain    score.Words
	trust           levelTrust
	fields          score.Fields
	paper           paper
	pictures        int
	failed          int
	pixels          int64
	took, plainTook time.Duration
	peak            int64 // kB, the largest of any picture
}

// measure reads one picture with plain tesseract, with the first reading alone and
// with both, adds to the sums and says which
// stage lost what.
func measure(ctx context.Context, r *result, dir string, o options, c fixtures.Case) (score.Losses, error) {
	file := filepath.Join(dir, "picture."+c.Ext)
	if err := os.WriteFile(file, c.Raw, 0o600); err != nil {
		return score.Losses{}, err
	}
	size, _, err := image.DecodeConfig(bytes.NewReader(c.Raw))
	if err != nil {
		return score.Losses{}, err
	}
	text := textOf(record.Page{Slips: c.Slips})
	plain, plainTook, err := plainTesseract(ctx, file, text)
	if err != nil {
		return score.Losses{}, err
	}
	first, firstTook, _, err := read(ctx, o.program, file, "--first-reading")
	if err != nil {
		return score.Losses{}, err
	}
	page, took, peak, err := read(ctx, o.program, file)
	if err != nil {
		return score.Losses{}, err
	}
	r.pictures++
	r.pixels += int64(size.Width) * int64(size.Height)
	r.plain, r.plainTook = r.plain.Add(plain), r.plainTook+plainTook
	r.took += took
	r.peak = max(r.peak, peak)
	if page.Error != "" {
		r.failed++
	}
	add(r, c, page, text, o.misses)
	r.trust.add(c, first, page, text)
	r.trust.firstTook, r.trust.took = r.trust.firstTook+firstTook, r.trust.took+took
	return score.Attribute(printed(c), page.Slips), nil
}

// read has the program read one picture.
func read(ctx context.Context, program, file string, flags ...string) (record.Page, time.Duration, int64, error) {
	var page record.Page
	out, took, peak, err := process(ctx, program, append([]string{"read", "--json", "--letters", file}, flags...)...)
	if ctx.Err() != nil {
		return page, took, peak, ctx.Err()
	}
	if jsonErr := json.Unmarshal(out, &page); jsonErr != nil {
		return page, took, peak, fmt.Errorf("its JSON: %w (%v)", jsonErr, err)
	}
	for _, s := range page.Slips {
		if len(s.TextBoxes) != len(s.Text) || len(s.Letters) != len(s.Text) {
			return page, took, peak, fmt.Errorf("%s does not tell where its %d lines lie or how sure they are: build it anew", program, len(s.Text))
		}
	}
	return page, took, peak, nil
}

// add judges what the first reading and both made of a picture.
func (t *levelTrust) add(c fixtures.Case, first, both record.Page, text []string) {
	lines := printed(c)
	var truth, records []record.Record
	for _, s := range c.Slips {
		truth = append(truth, s.Records...)
	}
	for _, s := range both.Slips {
		records = append(records, s.Records...)
	}
	t.slips += len(c.Slips)
	t.firstWords = t.firstWords.Add(score.CountWords(text, textOf(first)))
	t.words = t.words.Add(score.CountWords(text, textOf(both)))
	t.firstChars = t.firstChars.Add(score.CountChars(lines, first.Slips, nil))
	t.chars = t.chars.Add(score.CountChars(lines, both.Slips, t.letters.Add))
	for _, f := range score.JudgeFields(truth, records) {
		t.fields.Add(f.Field.Confidence, f.Right)
		if f.Field.Sure {
			t.sure++
			if !f.Right {
				t.sureWrong++
			}
		}
	}
}

func textOf(p record.Page) (out []string) {
	for _, s := range p.Slips {
		out = append(out, s.Text...)
	}
	return out
}

// printed is the truth of a case as losses are attributed by.
func printed(c fixtures.Case) []score.Printed {
	out := make([]score.Printed, len(c.Slips))
	for i, s := range c.Slips {
		out[i] = score.Printed{Corners: s.Corners, Turn: s.Turn}
		for _, l := range c.Lines[i] {
			out[i].Lines = append(out[i].Lines, score.PrintedLine{Text: l.Text, Corners: l.Corners})
		}
	}
	return out
}

func add(r *result, c fixtures.Case, page record.Page, text []string, misses bool) {
	r.paper.add(c, page)
	r.words = r.words.Add(score.CountWords(text, textOf(page)))
	f, m := score.CountFields(truthOf(c), recordsOf(page))
	r.fields = r.fields.Add(f)
	if misses {
		for _, x := range m {
			fmt.Printf("  %s %s.%s: printed %v %q, read %v %q sure=%v\n", c.Name, x.Kind, x.Name, x.Want.Value, x.Want.Text, x.Got.Value, x.Got.Text, x.Got.Sure)
		}
	}
}

// plainTesseract reads a picture in both modes: the better reading and the
// shorter time.
func plainTesseract(ctx context.Context, file string, text []string) (best score.Words, fastest time.Duration, err error) {
	best, least, err := plainModes(text, func(mode string) ([]byte, cost, error) {
		out, took, _, err := process(ctx, "tesseract", file, "-", "--psm", mode)
		if errors.Is(err, exec.ErrNotFound) {
			return nil, cost{}, fmt.Errorf("tesseract is not installed; run make setup (%w)", err)
		}
		return out, cost{took: took}, nil // what else fails counts as nothing read
	})
	return best, least.took, err
}

// plainModes has plain tesseract read a picture in both modes, by run: the better
// reading, and what the faster took.
func plainModes(text []string, run func(mode string) ([]byte, cost, error)) (best score.Words, least cost, err error) {
	for i, mode := range []string{"3", "6"} {
		out, c, err := run(mode)
		if err != nil {
			return best, cost{}, err
		}
		w := score.CountWords(text, strings.Split(string(out), "\n"))
		if i == 0 || w.F1() > best.F1() {
			best = w
		}
		if i == 0 || c.took < least.took {
			least = c
		}
	}
	return best, least, nil
}

// process runs a command on one core and says how much time of a processor it and
// its children took, which other work on the machine hardly changes, and how much
// memory the largest of them held at most, in kB.
func process(ctx context.Context, name string, args ...string) ([]byte, time.Duration, int64, error) {
	ctx, cancel := context.WithTimeout(ctx, perPicture)
	defer cancel()
	var out, errs bytes.Buffer
	cmd := onOneCore(ctx, &out, &errs, name, args...)
	err := cmd.Run()
	var took time.Duration
	var peak int64
	if cmd.ProcessState != nil {
		took = cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
		if ru, ok := cmd.ProcessState.SysUsage().(*syscall.Rusage); ok {
			peak = ru.Maxrss
		}
	}
	if err != nil {
		err = fmt.Errorf("%w: %s", err, strings.TrimSpace(errs.String()))
	}
	return out.Bytes(), took, peak, err
}

// onOneCore is a command that is to use one core.
func onOneCore(ctx context.Context, out, errs io.Writer, name string, args ...string) *exec.Cmd {
	cmd := exec.CommandContext(ctx, name, args...)
	cmd.Stdout, cmd.Stderr = out, errs
	cmd.Env = append(os.Environ(), "OMP_THREAD_LIMIT=1", "GOMAXPROCS=1")
	return cmd
}
