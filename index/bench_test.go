package index

import (
	"context"
	"fmt"
	"math/rand"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"tankroll/archive"
	"tankroll/index/query"
	"tankroll/parse/lexicon"
	"tankroll/record"
)

// filled is an archive with invented records on slips of ten;
// INDEX_BENCH_ROWS says how many, 2,000 otherwise.
func filled(b *testing.B) (*archive.Store, string, int) {
	b.Helper()
	n := 2000
	if v := os.Getenv("INDEX_BENCH_ROWS"); v != "" {
		var err error
		if n, err = strconv.Atoi(v); err != nil {
			b.Fatal(err)
		}
	}
	rng := rand.New(rand.NewSource(1))
	s, dir := newArchive(b)
	for range n / 10 {
		var records []record.Record
		for range 10 {
			r := randomRecord(rng)
			for name, f := range r.Fields { // a wide archive: many sites and days
				if name == "ended_at" || name == "at" {
					f.Value = fmt.Sprintf("20%02d-%02d-%02dT%02d:%02d", 15+rng.Intn(10), 1+rng.Intn(12), 1+rng.Intn(28), rng.Intn(24), rng.Intn(60))
					r.Fields[name] = f
				}
			}
			records = append(records, r)
		}
		put(b, s, strconv.Itoa(1+rng.Intn(200)), []string{"OAK STREET", "TANK LEAK TEST", "TANK 3 DIESEL", "PASS 0.2 GPH"}, records...)
	}
	return s, dir, n
}

func BenchmarkRebuild(b *testing.B) {
	s, dir, n := filled(b)
	b.ResetTimer()
	for b.Loop() {
		if err := Rebuild(context.Background(), dir, s); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
}

func BenchmarkAsk(b *testing.B) {
	s, dir, _ := filled(b)
	ix := openIndex(b, dir, s)
	for _, question := range []string{"last passing 0.2 test on the diesel tank at site 114", "last passing 0.2 test on the diesel tank",
		"how many tank tests failed in 2020", "alarms in march 2020 at site 7", "last tank test with aborted at site 99999"} {
		q := query.Parse(question, today, lexicon.Default())
		b.Run(question, func(b *testing.B) {
			for b.Loop() {
				if _, err := ix.Ask(context.Background(), q); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	b.Run("find diesel", func(b *testing.B) {
		for b.Loop() {
			if _, err := findHits(ix, "d1esel"); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("open", func(b *testing.B) {
		for b.Loop() {
			if err := ix.CatchUp(context.Background()); err != nil {
				b.Fatal(err)
			}
		}
	})
	size := int64(0)
	filepath.Walk(dir, func(_ string, i os.FileInfo, _ error) error { size += i.Size(); return nil })
	b.Logf("%d kB on disk", size>>10)
}

// BenchmarkCatchUp adds one slip with one record and asks.
func BenchmarkCatchUp(b *testing.B) {
	s, dir, _ := filled(b)
	ix := openIndex(b, dir, s)
	rng := rand.New(rand.NewSource(2))
	for b.Loop() {
		put(b, s, "1", []string{"TANK LEAK TEST"}, randomRecord(rng))
		if err := ix.CatchUp(context.Background()); err != nil {
			b.Fatal(err)
		}
	}
}
