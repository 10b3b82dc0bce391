package ocr

import (
	"bufio"
	"flag"
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"

	"tankroll/internal/score"
)

var (
	fitTrust = flag.String("fit-trust", "", "fit the trust in characters to a file that -fit-conf wrote, and print weights and tables")
	fitCheck = flag.String("fit-check", "", "another such file, of other pictures, to check the weights on")
)

// evidenceFile is what such a file holds: characters that were read twice, those
// that only the recognizer read, and words.
type evidenceFile struct {
	chars, loose []score.Example
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
	chars, loose := score.FitLogistic(fit.chars, nFeatures), score.FitLogistic(fit.loose, nLoose)
	fmt.Printf("trustWeights %.3f\nlooseWeights %.3f\n", chars, loose)
	report := func(name string, e evidenceFile) {
		fmt.Println(name + ": characters, as it stands and as fitted")
		score.PrintReliability(os.Stdout, e.chars, trustWeights[:])
		score.PrintReliability(os.Stdout, e.chars, chars)
		fmt.Println(name + ": characters read once, as it stands and as fitted")
		score.PrintReliability(os.Stdout, e.loose, looseWeights[:])
		score.PrintReliability(os.Stdout, e.loose, loose)
		fmt.Println(name + ": words, as it stands")
		printTable(e.words)
	}
	report("fitted", fit)
	if *fitCheck != "" {
		report("checked", readEvidence(t, *fitCheck))
	}
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
		s := score.Example{Level: parts[1], Right: parts[2] == "1"}
		switch parts[0] {
		case "w":
			p, _ := strconv.ParseFloat(parts[3], 64)
			out.words = append(out.words, saying{p, s.Right})
		case "c":
			s.Features = numbers(parts[3:], nFeatures)
			out.chars = append(out.chars, s)
		case "l":
			s.Features = numbers(parts[3:], nLoose)
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
