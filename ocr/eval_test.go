package ocr

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"tankroll/record"
)

var (
	evalDir   = flag.String("eval-dir", "", "folder of pictures with NAME.txt beside them to evaluate")
	evalTrace = flag.String("eval-trace", "", "folder for traces of evaluated pictures")
	evalText  = flag.Bool("eval-text", false, "print what was read")
	evalPlain = flag.Bool("eval-plain", false, "compare with the plain command")
)

// TestEval prints how well pictures are read. It asserts nothing and runs only
// when asked: it is a measuring tool.
func TestEval(t *testing.T) {
	if *evalDir == "" {
		t.Skip("give -eval-dir")
	}
	files, _ := filepath.Glob(filepath.Join(*evalDir, "*.txt"))
	r, err := NewReader(Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	for _, f := range files {
		pics, _ := filepath.Glob(strings.TrimSuffix(f, ".txt") + ".[jp][pn]g")
		want, _ := os.ReadFile(f)
		raw, _ := os.ReadFile(pics[0])
		name := strings.TrimSuffix(filepath.Base(f), ".txt")
		if *evalTrace != "" {
			r.opts.Trace = filepath.Join(*evalTrace, name)
		}
		start := time.Now()
		for p, err := range r.Pages(context.Background(), raw) {
			if err != nil {
				t.Fatal(err)
			}
			took := time.Since(start)
			var got []string
			for _, s := range p.Slips {
				if *evalText {
					fmt.Println(strings.Join(s.Text(), "\n"))
				}
				got = append(got, slipWords(s)...)
			}
			fmt.Printf("%-40s F1 %.3f  slips %d  %v", name, f1(words(string(want)), got), len(p.Slips), took.Round(time.Millisecond))
			if *evalPlain {
				pf, pt := plain(pics[0], words(string(want)))
				fmt.Printf("   plain %.3f %v", pf, pt.Round(time.Millisecond))
			}
			fmt.Println()
		}
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
	if len(want)+len(got) == 0 {
		return 1
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
