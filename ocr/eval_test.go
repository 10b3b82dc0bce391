package ocr

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"tankroll/ocr/recognise"
	"tankroll/record"
)

// The evaluation prints how well pictures with known truth are read, by
// folder:
//
//	go run ./fixtures/gen -part fit -level photo -n 12 -seed 1 -out DIR/photo
//	go test ./ocr -run Eval -count 1 -v -fit DIR [-fit-plain] [-fit-text] [-fit-trace DIR2]
//
// It asserts nothing: it is a measuring tool, and skipped unless asked for.
var (
	fitDir   = flag.String("fit", "", "folder of folders of pictures with NAME.truth.json beside them")
	fitTrace = flag.String("fit-trace", "", "folder for the traces of what is evaluated")
	fitText  = flag.Bool("fit-text", false, "print lines that read wrong")
	fitPlain = flag.Bool("fit-plain", false, "compare with the plain command")
	fitOnly  = flag.String("fit-only", "", "evaluate only pictures whose name contains this")
	fitMix   = flag.String("fit-mix", "", "other weights of the two readings: cell,symbol,floor")
	fitFirst = flag.Bool("fit-first", false, "evaluate the first reading alone")
	fitSlips = flag.String("fit-slips", "", "folder to write what was read and what is printed to, for the fit of fields in package parse")
	fitConf  = flag.String("fit-conf", "", "file to add a line to for every word and character: whether right, and what speaks for it")
)

type tally struct {
	slips, missed, extra, turned int
	f1, plain                    float64
	words, hits                  int // both sides' words, twice those on both
	pictures                     int
	took, plainTook              time.Duration
}

func TestEval(t *testing.T) {
	if *fitDir == "" {
		t.Skip("give -fit with a folder of pictures")
	}
	r, err := NewReader(Options{FirstReading: *fitFirst})
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	if *fitMix != "" {
		if _, err := fmt.Sscanf(*fitMix, "%g,%g,%g", &r.mix.cell, &r.mix.symbol, &r.mix.floor); err != nil {
			t.Fatal(err)
		}
	}
	fmt.Printf("%-8s %5s %6s %6s %6s %6s %6s %7s %6s %7s\n", "level", "slips", "F1", "pooled", "turned", "missed", "extra", "s/pict", "plain", "s/pict")
	folders, _ := filepath.Glob(filepath.Join(*fitDir, "*"))
	for _, dir := range folders {
		s := evalFolder(t, r, dir)
		if s.pictures == 0 {
			continue
		}
		n, p := float64(s.slips), float64(s.pictures)
		fmt.Printf("%-8s %5d %6.3f %6.3f %6d %6d %6d %7.2f %6.3f %7.2f\n", filepath.Base(dir), s.slips, s.f1/n, float64(s.hits)/float64(max(s.words, 1)), s.turned, s.missed, s.extra,
			s.took.Seconds()/p, s.plain/p, s.plainTook.Seconds()/p)
	}
}

func evalFolder(t *testing.T, r *Reader, dir string) (s tally) {
	truths, _ := filepath.Glob(filepath.Join(dir, "*.truth.json"))
	for _, f := range truths {
		name := strings.TrimSuffix(filepath.Base(f), ".truth.json")
		if !strings.Contains(name, *fitOnly) {
			continue
		}
		pics, _ := filepath.Glob(filepath.Join(dir, name+".[jp][pn]g"))
		var truth struct{ Slips []record.ReadSlip }
		b, _ := os.ReadFile(f)
		if err := json.Unmarshal(b, &truth); err != nil {
			t.Fatal(err)
		}
		raw, _ := os.ReadFile(pics[0])
		if *fitTrace != "" {
			r.opts.Trace = filepath.Join(*fitTrace, name)
		}
		evidenceOf := map[string][]char{}
		r.testOnlyWord = func(w record.Word, c []char) { evidenceOf[fmt.Sprint(w.Text, w.Box)] = c }
		var loose []looseWord
		r.testOnlyLoose = func(w record.Word, of recognise.Word) { loose = append(loose, looseWord{w, of}) }
		start := time.Now()
		var got []record.Slip
		for p, err := range r.Pages(context.Background(), raw) {
			if err != nil || p.Err != nil {
				t.Errorf("%s: %v %v", name, err, p.Err)
			}
			got = append(got, p.Slips...)
		}
		took := time.Since(start)
		s.took += took
		s.pictures++
		s.compare(name, truth.Slips, got, took)
		if *fitConf != "" {
			dumpEvidence(t, *fitConf, filepath.Base(dir), truth.Slips, got, witnesses{evidenceOf, loose})
		}
		if *fitSlips != "" {
			writeSlips(t, filepath.Join(*fitSlips, filepath.Base(dir), name+".json"), truth.Slips, got)
		}
		if *fitPlain {
			var want []string
			for _, sl := range truth.Slips {
				want = append(want, words(strings.Join(sl.Text, "\n"))...)
			}
			f, d := plain(pics[0], want)
			s.plain, s.plainTook = s.plain+f, s.plainTook+d
		}
	}
	return s
}

// writeSlips keeps the slips of a picture beside what is printed on it.
func writeSlips(t *testing.T, file string, printed []record.ReadSlip, read []record.Slip) {
	t.Helper()
	b, err := json.Marshal(struct {
		Printed []record.ReadSlip
		Read    []record.Slip
	}{printed, read})
	if err == nil {
		err = os.MkdirAll(filepath.Dir(file), 0o755)
	}
	if err == nil {
		err = os.WriteFile(file, b, 0o644)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// compare matches slips by where they lie.
func (s *tally) compare(name string, want []record.ReadSlip, got []record.Slip, took time.Duration) {
	used := make([]bool, len(got))
	for i, w := range want {
		best, bestD := -1, 0.8
		for k, g := range got {
			if d := apart(w.Corners, g.Corners); !used[k] && d < bestD {
				best, bestD = k, d
			}
		}
		s.slips++
		if best < 0 {
			s.missed++
			s.words += len(words(strings.Join(w.Text, "\n")))
			fmt.Printf("  %s slip %d MISSED\n", name, i)
			continue
		}
		used[best] = true
		g := got[best]
		if g.Turn != w.Turn {
			s.turned++
		}
		f := f1(words(strings.Join(w.Text, "\n")), slipWords(g))
		s.f1 += f
		n := len(words(strings.Join(w.Text, "\n"))) + len(slipWords(g))
		s.words, s.hits = s.words+n, s.hits+int(f*float64(n)+0.5)
		fmt.Printf("  %s slip %d F1 %.3f turn %d/%d ink %.2f/%.2f corners %.3f lines %d/%d %v%v%v %v%v%v %v\n", name, i, f, g.Turn, w.Turn, g.Paper.Ink, w.Paper.Ink, bestD, len(g.Text()), len(w.Text),
			mark(g.Paper.EndOfRoll), mark(g.Paper.CutOff), mark(g.Paper.Blurred), mark(w.Paper.EndOfRoll), mark(w.Paper.CutOff), mark(w.Paper.Blurred), took.Round(time.Millisecond))
		if *fitText {
			printDiff(w.Text, g.Text())
		}
	}
	for k := range got {
		if !used[k] && len(slipWords(got[k])) > 0 {
			s.extra++
			s.words += len(slipWords(got[k]))
			fmt.Printf("  %s EXTRA %v %q\n", name, got[k].Corners, got[k].Text())
		}
	}
}

func mark(b bool) string {
	if b {
		return "+"
	}
	return "-"
}

// apart is how far the centres of two outlines lie apart and their sizes
// differ, in sizes.
func apart(a, b [4]record.Point) float64 {
	mid := func(q [4]record.Point) (x, y, r float64) {
		for _, p := range q {
			x, y = x+p.X/4, y+p.Y/4
		}
		for _, p := range q {
			r += math.Hypot(p.X-x, p.Y-y) / 4
		}
		return x, y, r
	}
	ax, ay, ar := mid(a)
	bx, by, br := mid(b)
	return math.Hypot(ax-bx, ay-by)/ar + math.Abs(math.Log(ar/br))
}

// printDiff shows lines that are on one side only.
func printDiff(want, got []string) {
	norm := func(s string) string { return strings.Join(strings.Fields(s), " ") }
	count := map[string]int{}
	for _, w := range want {
		count[norm(w)]++
	}
	var extra []string
	for _, g := range got {
		if count[norm(g)] > 0 {
			count[norm(g)]--
		} else {
			extra = append(extra, norm(g))
		}
	}
	for _, w := range want {
		if count[norm(w)] > 0 {
			fmt.Println("    - " + norm(w))
		}
	}
	for _, g := range extra {
		fmt.Println("    + " + g)
	}
}

func slipWords(s record.Slip) []string {
	return words(strings.Join(s.Text(), "\n"))
}

var hasLetterOrDigit = regexp.MustCompile(`[\pL\pN]`)

// words are the runs without space that hold a letter or digit.
func words(s string) []string {
	return slices.DeleteFunc(strings.Fields(s), func(w string) bool { return !hasLetterOrDigit.MatchString(w) })
}

// f1 compares two multisets of words.
func f1(want, got []string) float64 {
	if len(want)+len(got) == 0 {
		return 1
	}
	count := map[string]int{}
	for _, w := range want {
		count[w]++
	}
	hit := 0
	for _, w := range got {
		if count[w] > 0 {
			count[w]--
			hit++
		}
	}
	return 2 * float64(hit) / float64(len(want)+len(got))
}

// plain is the best of the plain command's usual modes, and its mean time.
func plain(file string, want []string) (best float64, took time.Duration) {
	for _, psm := range []string{"3", "6"} {
		start := time.Now()
		cmd := exec.Command("tesseract", file, "-", "--psm", psm)
		cmd.Env = append(os.Environ(), "OMP_THREAD_LIMIT=1")
		out, _ := cmd.Output()
		took += time.Since(start) / 2
		best = max(best, f1(want, words(string(out))))
	}
	return best, took
}
