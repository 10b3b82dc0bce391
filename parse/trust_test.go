package parse

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tankroll/internal/score"
	"tankroll/record"
)

var (
	fitFields = flag.String("fit-fields", "", "fit the trust in fields to a folder that the evaluation of package ocr wrote with -fit-slips, and print weights and tables")
	fitWanted = flag.String("fit-wanted", "", "a folder of typed slips with what they say: slips drawn of them, NAME-LEVEL, are judged by it")
	fitCheck  = flag.String("fit-check", "", "another such folder, of other pictures, to check the weights on")
)

// TestFitFields prints the weights of trust.go as slips read from pictures have them,
// and how often what they say is right, there and on other pictures:
//
//	go test ./ocr -run TestEval -fit DIR -fit-slips SLIPS
//	go test ./parse -run TestFitFields -v -fit-fields SLIPS -fit-check OTHERS
//
// Slips that gen -typed drew say no records; NAME.want in -fit-wanted does. It asserts
// nothing and is skipped unless asked for.
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
		if *fitWanted != "" {
			printed, read, known = asWanted(t, f, read, known)
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

// asWanted is what a slip drawn from a typed one says, and what was read of it and known
// of that, without units and what may be read or not.
func asWanted(t *testing.T, file string, read []record.Record, known []evidence) (printed, rest []record.Record, of []evidence) {
	t.Helper()
	name := strings.TrimSuffix(filepath.Base(file), ".json")
	name = name[:max(strings.LastIndex(name, "-"), 0)]
	want, err := score.ReadWanted(filepath.Join(*fitWanted, name+".want"))
	if err != nil {
		t.Fatal(err)
	}
	printed, rest = want.AsWanted(read)
	for k, r := range read {
		for _, field := range r.FieldNames() {
			if _, ok := rest[k].Fields[field]; ok {
				of = append(of, known[0])
			}
			known = known[1:]
		}
	}
	return printed, rest, of
}

// TestTrust: the more speaks against a field, the less it is trusted, and a number
// is one of ten thousandths within 0 and 1.
func TestTrust(t *testing.T) {
	best := evidence{read: 1, sure: true, second: 3, least: 2, mean: 3, agreed: 3, share: 1}
	with := func(of evidence, change func(*evidence)) evidence {
		change(&of)
		return of
	}
	worse := []evidence{best}
	for _, change := range []func(*evidence){
		func(e *evidence) { e.read = 0.99 },
		func(e *evidence) { e.second = 0 },
		func(e *evidence) { e.least = -3 },
		func(e *evidence) { e.mean = 0 },
		func(e *evidence) { e.sure = false },
		func(e *evidence) { e.reasons = 1 },
		func(e *evidence) { e.share = 0.6 },
		func(e *evidence) { e.free = 0.5 },
		func(e *evidence) { e.twins = 1 },
		func(e *evidence) { e.shared = true },
		func(e *evidence) { e.reasons = 2 },
		func(e *evidence) { e.reasons = 3 },
		func(e *evidence) { e.read = 0.1 },
	} {
		worse = append(worse, with(worse[len(worse)-1], change))
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
	if p := best.trust(); p < 0.98 {
		t.Errorf("%+v, which nothing speaks against, is trusted %v", best, p)
	}
}

// TestWeakest: a field that is sure by itself and is not trusted is doubted for what lowers the
// trust most.
func TestWeakest(t *testing.T) {
	for want, e := range map[string]evidence{
		"second reading":   {read: 1, sure: true, second: -3, least: -5, mean: -3, agreed: 2, share: 1},
		"less than others": {read: 1, sure: true, second: 2, least: 0, mean: 2, agreed: 2, share: 0.3},
		"more than one":    {read: 1, sure: true, second: 0, least: -2, mean: 1, agreed: 1, share: 1, twins: 6},
		"another word":     {read: 1, sure: true, second: 2, least: 2, mean: 2, agreed: 5, share: 0.9, free: 0.999},
		"several records":  {read: 1, sure: true, second: 2, least: 2, mean: 2, agreed: 6, share: 0.95, shared: true},
	} {
		if e.trust() >= leastTrust || !strings.Contains(e.weakest(), want) {
			t.Errorf("%+v, trusted %v, is doubted as %q, want %q", e, e.trust(), e.weakest(), want)
		}
	}
}
