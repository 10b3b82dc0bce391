package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"

	"tankroll/internal/score"
	"tankroll/ocr"
	"tankroll/parse"
)

// losses are those of a run, picture by picture, with what they were made with.
type losses struct {
	made []string // "name value" each
	rows []lossRow
}

// lossRow is one picture.
type lossRow struct {
	level string
	seed  uint64
	score.Losses
}

// madeWith names what the figures depend on.
func madeWith(ctx context.Context, o options) []string {
	version := "unknown"
	if out, _, _, err := process(ctx, "tesseract", "--version"); err == nil {
		first, _, _ := strings.Cut(string(out), "\n")
		version = strings.TrimSpace(strings.TrimPrefix(first, "tesseract"))
	}
	return []string{
		"part " + o.part,
		fmt.Sprintf("seeds %d to %d", o.seed, o.seed+uint64(max(o.n, 1)-1)),
		fmt.Sprintf("pictures %d a level", o.n),
		"levels " + strings.Join(o.levels, " "),
		fmt.Sprintf("ocr %d", ocr.Version),
		fmt.Sprintf("grammar %d", parse.Version),
		"tesseract " + version,
		fmt.Sprintf("go %s %s/%s", strings.TrimPrefix(runtime.Version(), "go"), runtime.GOOS, runtime.GOARCH),
	}
}

// level sums the pictures of one level.
func (l losses) level(name string) score.Losses {
	var sum score.Losses
	for _, r := range l.rows {
		if r.level == name {
			sum = sum.Add(r.Losses)
		}
	}
	return sum
}

func (l losses) has(level string) bool { return slices.Contains(l.levels(), level) }

// levels lists the levels in the order of the rows.
func (l losses) levels() []string {
	var out []string
	for _, r := range l.rows {
		if !slices.Contains(out, r.level) {
			out = append(out, r.level)
		}
	}
	return out
}

// row finds a picture.
func (l losses) row(level string, seed uint64) (lossRow, bool) {
	i := slices.IndexFunc(l.rows, func(r lossRow) bool { return r.level == level && r.seed == seed })
	if i < 0 {
		return lossRow{}, false
	}
	return l.rows[i], true
}

const lossesAbout = `# Which stage of reading lost the words that were not read right, and invented
# those that are not printed: score.Attribute says how they are told apart.
# Written by make bench BENCH=-update; make bench shows what has changed since.
`

// String is the text that is kept: what it was made with, a row a picture and
// one a level.
func (l losses) String() string {
	var b strings.Builder
	b.WriteString(keptHead(lossesAbout, l.made) + lossHead)
	for _, level := range l.levels() {
		for _, r := range l.rows {
			if r.level == level {
				b.WriteString(lossLine(level, r.seed, r.Losses))
			}
		}
		b.WriteString(lossLine(level, "all", l.level(level)))
	}
	return b.String()
}

func (l losses) write(file string) error { return keep(file, l.String()) }

// readLosses reads what String wrote; a file that is not there has no rows.
func readLosses(file string) (losses, error) {
	raw, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		return losses{}, nil
	}
	if err != nil {
		return losses{}, err
	}
	l, err := parseLosses(string(raw))
	if err != nil {
		return losses{}, fmt.Errorf("%s: %w: write it anew with -update", file, err)
	}
	return l, nil
}

func parseLosses(text string) (losses, error) {
	var out losses
	about, table, ok := strings.Cut(text, "\n\n")
	if !ok {
		return out, errors.New("no table after a blank line")
	}
	for line := range strings.Lines(about) {
		if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "#") {
			out.made = append(out.made, line)
		}
	}
	rows, ok := strings.CutPrefix(table, lossHead)
	if !ok {
		return out, errors.New("the table has other columns")
	}
	for line := range strings.Lines(rows) {
		f := strings.Fields(line)
		if len(f) > 1 && f[1] == "all" {
			if sum := lossLine(f[0], "all", out.level(f[0])); line != sum {
				return out, fmt.Errorf("row %q is not the sum of its pictures", strings.TrimSpace(line))
			}
			continue
		}
		r, err := parseRow(f)
		if err != nil {
			return out, fmt.Errorf("row %q: %w", strings.TrimSpace(line), err)
		}
		out.rows = append(out.rows, r)
	}
	return out, nil
}

func parseRow(f []string) (lossRow, error) {
	const columns = 14
	if len(f) != columns {
		return lossRow{}, fmt.Errorf("%d columns, want %d", len(f), columns)
	}
	var n [columns]int
	for i := 1; i < columns; i++ {
		v, err := strconv.Atoi(f[i])
		if err != nil || v < 0 {
			return lossRow{}, fmt.Errorf("%q is no count", f[i])
		}
		n[i] = v
	}
	r := lossRow{f[0], uint64(n[1]), score.Losses{
		Printed: n[2], Right: n[3], Lost: score.Stages{Paper: n[4], Turn: n[5], Line: n[6], Recognition: n[7]},
		Read: n[8], Invented: score.Stages{Paper: n[10], Turn: n[11], Line: n[12], Recognition: n[13]},
	}}
	if r.Misread() != n[9] || r.Right+r.Lost.Sum() != r.Printed {
		return lossRow{}, errors.New("its counts do not add up")
	}
	return r, nil
}
