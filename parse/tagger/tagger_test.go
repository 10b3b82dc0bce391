package tagger

import (
	_ "embed"
	"encoding/json"
	"math"
	"testing"
)

//go:embed testdata/check.json
var check []byte

// What the training program's own network says of a printout is what this one says.
// Source: PyTorch, by train/learn.py --check.
func TestSaysAsTrained(t *testing.T) {
	var want struct {
		Lines  int
		Words  []Word
		Likely [][]float64
		Same   [][]float64
		Code   [][]float64
	}
	if err := json.Unmarshal(check, &want); err != nil {
		t.Fatal(err)
	}
	n, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	got := n.part(want.Words, want.Lines)
	sure := 0
	for i, row := range want.Likely {
		for k, p := range row {
			if math.Abs(p-float64(got.likely[i][k])) > 0.002 {
				t.Errorf("%q is %v with %.4f, trained %.4f", want.Words[i].Text, n.names[k], got.likely[i][k], p)
			}
			if k > 0 && p > 0.5 {
				sure++
			}
		}
		for j, v := range want.Same[i] {
			if odds := n.odds(&got.comparing, i, j); math.Abs(v-odds) > 0.01 {
				t.Errorf("%q and %q belong together with %.3f, trained %.3f", want.Words[i].Text, want.Words[j].Text, odds, v)
			}
		}
	}
	for i, row := range want.Code {
		for k, v := range row {
			if math.Abs(v-float64(got.codes[i][k])) > 0.01 {
				t.Errorf("code %d of %q has %.3f, trained %.3f", k, want.Words[i].Text, got.codes[i][k], v)
			}
		}
	}
	if sure < len(want.Words)/3 {
		t.Errorf("of %d words %d are taken for fields: the printout shows nothing", len(want.Words), sure)
	}
}

func TestDecodeOtherWeights(t *testing.T) {
	for _, n := range []int{0, 1, len(weights) - 2, len(weights) + 2} {
		if _, err := Decode(tags, make([]byte, n)); err == nil {
			t.Errorf("%d bytes are taken for weights", n)
		}
	}
}

// A slip of any length is read, each word once.
func TestReadOfAnyLength(t *testing.T) {
	n, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, size := range []int{0, 1, MostWords, MostWords + 1, 3*MostWords + 7} {
		var words []Word
		for i := range size {
			words = append(words, Word{Text: "TANK", Line: i / 4, Place: i % 4, Col: 6 * (i % 4), Width: 4})
		}
		tags := n.Read(words, size/4+1)
		for i := range words {
			if tag, p := tags.Best(i); !(p > 0 && p <= 1) || math.Abs(tags.Likely(i, tag)-p) > 1e-6 {
				t.Fatalf("%d words: word %d is %v with %v", size, i, tag, p)
			}
		}
		if size > 2 {
			if p := tags.Same(0, 1); !(p > 0 && p < 1) {
				t.Errorf("%d words: the first two belong together with %v", size, p)
			}
		}
	}
}

func BenchmarkRead(b *testing.B) {
	n, err := Load()
	if err != nil {
		b.Fatal(err)
	}
	var words []Word
	for i := range 100 {
		words = append(words, Word{Text: []string{"TANK", "VOLUME", "1,204.5", "09/14/25"}[i%4], Line: i / 4, Place: i % 4, Col: 8 * (i % 4), Width: 6})
	}
	b.ResetTimer()
	for range b.N {
		n.Read(words, 25)
	}
}
