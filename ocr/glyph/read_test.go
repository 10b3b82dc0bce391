package glyph

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// Both ways must give the same scores to the last bit: what a picture reads as
// must not hang on how wide a processor is.
func TestForward(t *testing.T) {
	net, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(1, 2))
	slow, fast := NewPass(), NewPass()
	for range 50 {
		ink := rng.Float32()
		for i := range slow.In {
			slow.In[i] = max(ink-rng.Float32(), 0)
		}
		copy(fast.In, slow.In)
		net.ForwardAll(slow)
		net.Forward(fast)
		if !slices.Equal(fast.Out, slow.Out) {
			t.Fatalf("scores differ:\n%v\n%v", fast.Out, slow.Out)
		}
	}
}

func BenchmarkForward(b *testing.B) {
	net, err := Load()
	if err != nil {
		b.Fatal(err)
	}
	pass := NewPass()
	for i := range pass.In {
		pass.In[i] = float32(i%7) / 7
	}
	b.ReportAllocs()
	b.Run("scores", func(b *testing.B) {
		for b.Loop() {
			net.Forward(pass)
		}
	})
	b.Run("all-layers", func(b *testing.B) {
		for b.Loop() {
			net.ForwardAll(pass)
		}
	})
}
