// Program train makes the weights of package glyph. It is not part of reading.
//
//	go run ./ocr/glyph/train -fonts DIR,DIR -out ocr/glyph/weights.bin -samples 1500000
//
// DIR is searched for the fonts that package face knows. The weights that are kept
// were made from the Debian packages fonts-hack-ttf fonts-jetbrains-mono
// fonts-firacode fonts-anonymous-pro fonts-fantasque-sans fonts-agave
// fonts-hermit fonts-monofur fonts-mononoki fonts-monoid fonts-gnutypewriter
// fonts-freefont-ttf fonts-proggy fonts-3270 fonts-league-mono
// fonts-dotgothic16 fonts-b612 fonts-courier-prime fonts-dejavu-core
// fonts-noto-mono fonts-urw-base35.
package main

import (
	"flag"
	"fmt"
	"log"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"sync"
	"time"

	"tankroll/ocr/glyph"
	"tankroll/ocr/glyph/face"
)

func main() {
	fonts := flag.String("fonts", "", "folders of fonts, separated by commas")
	out := flag.String("out", "ocr/glyph/weights.bin", "file for the weights")
	samples := flag.Int("samples", 1_500_000, "characters to learn from")
	seed := flag.Uint64("seed", 1, "seed")
	threads := flag.Int("threads", 2, "goroutines")
	show := flag.String("show", "", "write a sheet of sample characters to this PNG and stop")
	flag.Parse()
	faces, err := face.Load(strings.Split(*fonts, ","))
	if err != nil {
		log.Fatal(err)
	}
	log.Printf("%d fonts", len(faces))
	if *show != "" {
		if err := sheet(*show, faces, *seed); err != nil {
			log.Fatal(err)
		}
		return
	}
	n := train(faces, *samples, *seed, *threads)
	if err := os.WriteFile(*out, n.Encode(), 0o644); err != nil {
		log.Fatal(err)
	}
}

const batch = 64

// train runs stochastic gradient descent with momentum (Adam), the rate
// falling to nothing at the end.
func train(faces []*face.Face, samples int, seed uint64, threads int) *glyph.Net {
	rng := rand.New(rand.NewPCG(seed, 1))
	n := glyph.NewNet()
	initialise(n, rng)
	opt := newAdam(n)
	workers := make([]*worker, threads)
	for i := range workers {
		workers[i] = newWorker(n, faces, seed+uint64(i)+100)
	}
	steps := samples / batch
	start := time.Now()
	hits, seen, loss := 0, 0, 0.0
	for step := range steps {
		var wg sync.WaitGroup
		for _, w := range workers {
			wg.Go(func() { w.run(batch / threads) })
		}
		wg.Wait()
		for _, w := range workers {
			hits, seen, loss = hits+w.hits, seen+w.seen, loss+w.loss
		}
		rate := 0.002 * 0.5 * (1 + math.Cos(math.Pi*float64(step)/float64(steps)))
		opt.step(n, workers, float32(rate))
		if step%1000 == 999 {
			fmt.Printf("%7d of %d  right %.4f  loss %.4f  %v\n", step+1, steps, float64(hits)/float64(seen), loss/float64(seen), time.Since(start).Round(time.Second))
			hits, seen, loss = 0, 0, 0
		}
	}
	return n
}

func initialise(n *glyph.Net, rng *rand.Rand) {
	fill := func(w []float32, in int) {
		s := math.Sqrt(2 / float64(in))
		for i := range w {
			w[i] = float32(rng.NormFloat64() * s)
		}
	}
	fill(n.Conv1, 9)
	fill(n.Conv2, len(n.Conv2)/len(n.Bias2))
	fill(n.Dense1, len(n.Dense1)/len(n.Bias3))
	fill(n.Dense2, len(n.Dense2)/len(n.Bias4))
}
