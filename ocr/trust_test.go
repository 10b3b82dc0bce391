package ocr

import (
	"bufio"
	"flag"
	"fmt"
	"maps"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tankroll/internal/score"
)

var (
	fitTrust = flag.String("fit-trust", "", "fit the trust in characters to a file that -fit-conf wrote, and print weights and tables")
	fitCheck = flag.String("fit-check", "", "another such file, of other pictures, to check the weights on")
)

// seen is one character of the file: what speaks for it and whether it was right.
type seen struct {
	level string
	f     []float64
	right bool
}

// evidenceFile is what such a file holds: characters that were read twice, those
// that only the recognizer read, and words.
type evidenceFile struct {
	chars, loose []seen
	words        []saying
}

// TestFitTrust prints the weights of trust.go as a file of evidence has them, and
// how often what they say is right, there and on other pictures:
//
//	go test ./ocr -run TestEval -fit DIR -fit-conf FILE
//	go test ./ocr -run TestEval -fit DIR -fit-conf FILE -fit-first
//	go test ./ocr -run TestFitTrust -v -fit-trust FILE -fit-check OTHER
//
// It asserts nothing and is skipped unless asked for.
func TestFitTrust(t *testing.T) {
	if *fitTrust == "" {
		t.Skip("give -fit-trust with a file of evidence")
	}
	fit := readEvidence(t, *fitTrust)
	fmt.Printf("%d characters, %d read once, %d words\n", len(fit.chars), len(fit.loose), len(fit.words))
	chars, loose := newton(fit.chars, trustWeights[:]), newton(fit.loose, looseWeights[:])
	fmt.Printf("trustWeights %.3f\nlooseWeights %.3f\n", chars, loose)
	report := func(name string, e evidenceFile) {
		fmt.Println(name + ": characters, as it stands and as fitted")
		printReliability(e.chars, trustWeights[:])
		printReliability(e.chars, chars)
		fmt.Println(name + ": characters read once, as it stands and as fitted")
		printReliability(e.loose, looseWeights[:])
		printReliability(e.loose, loose)
		fmt.Println(name + ": words, as it stands")
		printTable(e.words)
	}
	report("fitted", fit)
	if *fitCheck != "" {
		report("checked", readEvidence(t, *fitCheck))
	}
}

// printReliability shows ten bins of what weights say, and how far it is off at
// each level.
func printReliability(all []seen, weights []float64) {
	var whole score.Reliability
	levels := map[string]*score.Reliability{}
	for _, s := range all {
		if levels[s.level] == nil {
			levels[s.level] = &score.Reliability{}
		}
		p := logistic(dotOf(weights, s.f))
		whole.Add(p, s.right)
		levels[s.level].Add(p, s.right)
	}
	for _, b := range whole {
		if b.N > 0 {
			fmt.Printf("  %7d  said %.4f  right %.4f\n", b.N, b.MeanSaid(), b.Share())
		}
	}
	fmt.Printf("  off by %.4f", whole.Error())
	for _, l := range slices.Sorted(maps.Keys(levels)) {
		fmt.Printf("  %s %.4f", l, levels[l].Error())
	}
	fmt.Println()
}

// saying is a probability that was said and whether it came true.
type saying struct {
	p     float64
	right bool
}

func readEvidence(t *testing.T, file string) (out evidenceFile) {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for sc := bufio.NewScanner(f); sc.Scan(); {
		parts := strings.Fields(strings.NewReplacer("[", "", "]", "").Replace(sc.Text()))
		if len(parts) < 4 {
			continue
		}
		s := seen{level: parts[1], right: parts[2] == "1"}
		switch parts[0] {
		case "w":
			p, _ := strconv.ParseFloat(parts[3], 64)
			out.words = append(out.words, saying{p, s.right})
		case "c":
			s.f = numbers(parts[3:], nFeatures)
			out.chars = append(out.chars, s)
		case "l":
			s.f = numbers(parts[3:], nLoose)
			out.loose = append(out.loose, s)
		}
	}
	return out
}

func numbers(parts []string, n int) []float64 {
	out := make([]float64, n)
	for i := range min(n, len(parts)) {
		out[i], _ = strconv.ParseFloat(parts[i], 64)
	}
	return out
}

func dotOf(w, f []float64) float64 {
	sum := 0.0
	for i, v := range f {
		sum += w[i] * v
	}
	return sum
}

// newton fits a logistic regression, with a little weight decay, from such weights on.
func newton(all []seen, from []float64) []float64 {
	w := slices.Clone(from)
	const steps = 30
	for range steps {
		newtonStep(all, w)
	}
	return w
}

func newtonStep(all []seen, w []float64) {
	n := len(w)
	a := make([][]float64, n)
	for i := range a {
		a[i] = make([]float64, n+1)
		a[i][i], a[i][n] = 1, -w[i]
	}
	for _, s := range all {
		p := logistic(dotOf(w, s.f))
		y := 0.0
		if s.right {
			y = 1
		}
		for i := range a {
			for j := range s.f {
				a[i][j] += p * (1 - p) * s.f[i] * s.f[j]
			}
			a[i][n] += (y - p) * s.f[i]
		}
	}
	for i, v := range solve(a) {
		w[i] += v
	}
}

// solve solves a linear system by Gauss's elimination.
func solve(a [][]float64) []float64 {
	n := len(a)
	for c := range n {
		p := c
		for r := c; r < n; r++ {
			if math.Abs(a[r][c]) > math.Abs(a[p][c]) {
				p = r
			}
		}
		a[c], a[p] = a[p], a[c]
		for r := range n {
			if r != c {
				f := a[r][c] / a[c][c]
				for k := c; k <= n; k++ {
					a[r][k] -= f * a[c][k]
				}
			}
		}
	}
	x := make([]float64, n)
	for i := range x {
		x[i] = a[i][n] / a[i][i]
	}
	return x
}

func printTable(s []saying) {
	edges := []float64{0, 0.3, 0.5, 0.7, 0.8, 0.9, 0.95, 0.98, 0.99, 0.995, 0.999, 1.0001}
	for i := 0; i+1 < len(edges); i++ {
		sum, right, n := 0.0, 0, 0
		for _, v := range s {
			if v.p >= edges[i] && v.p < edges[i+1] {
				sum, n = sum+v.p, n+1
				if v.right {
					right++
				}
			}
		}
		if n > 0 {
			fmt.Printf("  %.3f to %.3f  %6d  said %.4f  right %.4f\n", edges[i], edges[i+1], n, sum/float64(n), float64(right)/float64(n))
		}
	}
}
