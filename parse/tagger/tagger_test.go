package tagger

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"math"
	"testing"
)

//go:embed testdata/check-1.json
var check1 []byte

//go:embed testdata/check-2.json
var check2 []byte

// What the training program's own networks say of a printout is what these say, each by itself;
// and the mean of both is what is read.
// Source: PyTorch, by train/learn.py.
func TestSaysAsTrained(t *testing.T) {
	n, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	type said struct {
		Lines  int
		Words  []Word
		Likely [][]float64
		Same   [][]float64
		Code   [][]float64
	}
	var all []said
	for _, c := range [][]byte{check1, check2} {
		var s said
		if err := json.Unmarshal(c, &s); err != nil {
			t.Fatal(err)
		}
		all = append(all, s)
	}
	if len(n.nets) != len(all) {
		t.Fatalf("%d networks, %d of them checked", len(n.nets), len(all))
	}
	mean := func(of func(said) float64) (sum float64) {
		for _, s := range all {
			sum += of(s) / float64(len(all))
		}
		return sum
	}
	compare := func(name string, by *Net, of func(func(said) float64) float64) {
		got := by.part(all[0].Words, all[0].Lines)
		sure := 0
		for i, word := range all[0].Words {
			for k := range n.names {
				p := of(func(s said) float64 { return s.Likely[i][k] })
				if math.Abs(p-float64(got.likely[i][k])) > 0.002 {
					t.Errorf("%s: %q is %v with %.4f, trained %.4f", name, word.Text, n.names[k], got.likely[i][k], p)
				}
				if k > 0 && p > 0.5 {
					sure++
				}
			}
			for j := range all[0].Words {
				v := of(func(s said) float64 { return s.Same[i][j] })
				if odds := by.odds(&got.comparing, i, j); math.Abs(v-odds) > 0.01 {
					t.Errorf("%s: %q and %q belong together with %.3f, trained %.3f", name, word.Text, all[0].Words[j].Text, odds, v)
				}
			}
			for k, was := range got.codes[i] {
				if v := of(func(s said) float64 { return s.Code[i][k] }); math.Abs(v-float64(was)) > 0.01 {
					t.Errorf("%s: code %d of %q has %.3f, trained %.3f", name, k, word.Text, was, v)
				}
			}
		}
		if sure < len(all[0].Words)/3 {
			t.Errorf("%s: of %d words %d are taken for fields: the printout shows nothing", name, len(all[0].Words), sure)
		}
	}
	for i, s := range all {
		one := &Net{names: n.names, of: n.of, coded: n.coded, known: n.known, nets: n.nets[i : i+1]}
		one.rooms.New = n.rooms.New
		compare(fmt.Sprintf("network %d", i+1), one, func(f func(said) float64) float64 { return f(s) })
	}
	compare("mean", n, mean)
}

func TestDecodeOtherWeights(t *testing.T) {
	for _, n := range []int{0, 1, len(weights)/2 - 2, len(weights)/2 + 2, len(weights) - 2, len(weights) + 2} {
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
