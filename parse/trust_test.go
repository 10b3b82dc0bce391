package parse

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"tankroll/internal/score"
	"tankroll/record"
)

var (
	fitFields = flag.String("fit-fields", "", "fit the trust in fields to a folder that the evaluation of package ocr wrote with -fit-slips, and print weights and tables")
	fitCheck  = flag.String("fit-check", "", "another such folder, of other pictures, to check the weights on")
)

// TestFitFields prints the weights of trust.go as slips read from pictures have them,
// and how often what they say is right, there and on other pictures:
//
//	go test ./ocr -run TestEval -fit DIR -fit-slips SLIPS
//	go test ./parse -run TestFitFields -v -fit-fields SLIPS -fit-check OTHERS
//
// It asserts nothing and is skipped unless asked for.
func TestFitFields(t *testing.T) {
	if *fitFields == "" {
		t.Skip("give -fit-fields with a folder of slips")
	}
	fit := fieldExamples(t, *fitFields)
	weights := score.FitLogistic(fit, nFeatures)
	fmt.Printf("%d fields\ntrustWeights %.3f\n", len(fit), weights)
	report := func(name string, all []score.Example) {
		for _, w := range []struct {
			how     string
			weights []float64
		}{{"as it stands", trustWeights[:]}, {"as fitted", weights}} {
			fmt.Println(name, w.how)
			score.PrintReliability(os.Stdout, all, w.weights)
		}
	}
	report("fitted", fit)
	if *fitCheck != "" {
		report("checked", fieldExamples(t, *fitCheck))
	}
}

// fieldExamples reads the slips of a folder of folders, one a level, and judges their
// fields.
func fieldExamples(t *testing.T, dir string) (out []score.Example) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "*", "*.json"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no slips in %s (%v)", dir, err)
	}
	sure, wrong := 0, 0
	for _, f := range files {
		var picture struct {
			Printed []record.ReadSlip
			Read    []record.Slip
		}
		raw, err := os.ReadFile(f)
		if err == nil {
			err = json.Unmarshal(raw, &picture)
		}
		if err != nil {
			t.Fatal(err)
		}
		var printed, read []record.Record
		for _, s := range picture.Printed {
			printed = append(printed, s.Records...)
		}
		var known []evidence
		for _, s := range picture.Read {
			d := newDoc(s, Hints{})
			d.testOnlyField = func(e evidence) { known = append(known, e) }
			read = append(read, d.understand(s).Records...)
		}
		for i, j := range score.JudgeFields(printed, read) {
			features := known[i].features()
			out = append(out, score.Example{Level: filepath.Base(filepath.Dir(f)), Features: features[:], Right: j.Right})
			if j.Field.Sure {
				sure++
				if !j.Right {
					wrong++
				}
			}
		}
	}
	fmt.Printf("%s: %d fields, %d sure, %d of them wrong\n", dir, len(out), sure, wrong)
	return out
}

// TestTrust: the more speaks against a field, the less it is trusted, and a number
// is one of ten thousandths within 0 and 1.
func TestTrust(t *testing.T) {
	best := evidence{read: 1, sure: true}
	worse := []evidence{
		best, {read: 0.99, sure: true}, {read: 0.99}, {read: 0.6}, {read: 0.6, reasons: 1}, {read: 0.6, reasons: 2}, {read: 0.6, reasons: 3, record: true}, {reasons: 3, record: true},
	}
	for i, e := range worse {
		p := e.trust()
		if p < 0 || p > 1 {
			t.Errorf("%+v: %v", e, p)
		}
		if i > 0 && p >= worse[i-1].trust() {
			t.Errorf("%+v is trusted %v, as much as %+v, %v", e, p, worse[i-1], worse[i-1].trust())
		}
	}
	if p := best.trust(); p < 0.99 {
		t.Errorf("a field that nothing speaks against is trusted %v", p)
	}
}
