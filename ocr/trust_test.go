package ocr

import (
	"bufio"
	"flag"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

var fitTrust = flag.String("fit-trust", "", "fit the trust in characters to a file that -fit-conf wrote, and print weights and tables")

// seen is one character of the file: what speaks for it and whether it was right.
type seen struct {
	f     [nFeatures]float64
	right bool
}

// TestFitTrust prints the weights of trust.go as a file of evidence has them:
//
//	go test ./ocr -run TestEval -fit DIR -fit-conf FILE
//	go test ./ocr -run TestFitTrust -v -fit-trust FILE
//
// It asserts nothing and is skipped unless asked for.
func TestFitTrust(t *testing.T) {
	if *fitTrust == "" {
		t.Skip("give -fit-trust with a file of evidence")
	}
	all, words := readEvidence(t, *fitTrust)
	w := trustWeights
	for range 30 {
		w = newtonStep(all, w)
	}
	fmt.Printf("%d characters, %d words\nweights %.3f\n", len(all), len(words), w)
	var said, saidNow []saying
	for _, s := range all {
		said = append(said, saying{logistic(dotFeatures(w, s.f)), s.right})
		saidNow = append(saidNow, saying{logistic(dotFeatures(trustWeights, s.f)), s.right})
	}
	fmt.Println("characters, fitted:")
	printTable(said)
	fmt.Println("characters, as it stands:")
	printTable(saidNow)
	fmt.Println("words, as it stands:")
	printTable(words)
}

// saying is a probability that was said and whether it came true.
type saying struct {
	p     float64
	right bool
}

func readEvidence(t *testing.T, file string) (chars []seen, words []saying) {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for sc := bufio.NewScanner(f); sc.Scan(); {
		parts := strings.Fields(strings.NewReplacer("[", "", "]", "").Replace(sc.Text()))
		switch {
		case len(parts) >= 4 && parts[0] == "w":
			p, _ := strconv.ParseFloat(parts[3], 64)
			words = append(words, saying{p, parts[2] == "1"})
		case len(parts) >= 3+nFeatures && parts[0] == "c":
			s := seen{right: parts[2] == "1"}
			for i := range s.f {
				s.f[i], _ = strconv.ParseFloat(parts[3+i], 64)
			}
			chars = append(chars, s)
		}
	}
	return chars, words
}

func dotFeatures(w, f [nFeatures]float64) float64 {
	sum := 0.0
	for i, v := range f {
		sum += w[i] * v
	}
	return sum
}

// newtonStep is one step of Newton's method for logistic regression, with a
// little weight decay.
func newtonStep(all []seen, w [nFeatures]float64) [nFeatures]float64 {
	var a [nFeatures][nFeatures + 1]float64
	for i := range a {
		a[i][i] = 1
		a[i][nFeatures] = -w[i]
	}
	for _, s := range all {
		p := logistic(dotFeatures(w, s.f))
		y := 0.0
		if s.right {
			y = 1
		}
		for i := range a {
			for j := range s.f {
				a[i][j] += p * (1 - p) * s.f[i] * s.f[j]
			}
			a[i][nFeatures] += (y - p) * s.f[i]
		}
	}
	step := solve(a)
	for i := range w {
		w[i] += step[i]
	}
	return w
}

// solve solves a linear system by Gauss's elimination.
func solve(a [nFeatures][nFeatures + 1]float64) (x [nFeatures]float64) {
	for c := range nFeatures {
		p := c
		for r := c; r < nFeatures; r++ {
			if math.Abs(a[r][c]) > math.Abs(a[p][c]) {
				p = r
			}
		}
		a[c], a[p] = a[p], a[c]
		for r := range nFeatures {
			if r != c {
				f := a[r][c] / a[c][c]
				for k := c; k <= nFeatures; k++ {
					a[r][k] -= f * a[c][k]
				}
			}
		}
	}
	for i := range x {
		x[i] = a[i][nFeatures] / a[i][i]
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
