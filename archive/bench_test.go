package archive

import (
	"context"
	"fmt"
	"os"
	"strings"
	"testing"

	"tankroll/record"
)

// BenchmarkKeep is one picture of 100 kB made durable, and its reading with it.
func BenchmarkKeep(b *testing.B) {
	ctx := context.Background()
	s, err := Open(ctx, b.TempDir())
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	raw := make([]byte, 100_000)
	for i := 0; b.Loop(); i++ {
		copy(raw, fmt.Sprintf("\xff\xd8\xff picture %d", i))
		c, _, err := s.Keep(ctx, "a.jpg", raw, "")
		if err != nil {
			b.Fatal(err)
		}
		if err := s.SaveReadings(ctx, c.ID, []Reading{tankTest("2", "2025-03-14T06:41", "pass")}); err != nil {
			b.Fatal(err)
		}
	}
}

// perSlip is how many records stand on one picture of the archives below.
const perSlip = 10

// BenchmarkArchive is the cost of a record in archives of invented records: to add
// it, to verify it, to show its present state. It should not grow with the archive.
func BenchmarkArchive(b *testing.B) {
	for _, n := range []int{1000, 10_000, 100_000} {
		ctx := context.Background()
		s, err := Open(ctx, b.TempDir())
		if err != nil {
			b.Fatal(err)
		}
		slips := 0
		fill := func() {
			if err := addSlip(ctx, s, slips); err != nil {
				b.Fatal(err)
			}
			slips++
		}
		perRecord := func(b *testing.B, times int) {
			b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/float64(times), "µs/record")
			b.ReportMetric(peakMB(b), "MB-peak")
		}
		b.Run(fmt.Sprintf("add/%d", n), func(b *testing.B) {
			for slips < n/perSlip*9/10 { // nearly full, so that the last tenth is timed
				fill()
			}
			for b.Loop() {
				fill()
			}
			perRecord(b, perSlip)
		})
		for slips < n/perSlip {
			fill()
		}
		n := slips * perSlip
		b.Run(fmt.Sprintf("verify/%d", n), func(b *testing.B) {
			for b.Loop() {
				if bad, err := s.Check(ctx); err != nil || len(bad) > 0 {
					b.Fatal(bad, err)
				}
			}
			perRecord(b, n)
		})
		b.Run(fmt.Sprintf("state/%d", n), func(b *testing.B) {
			for b.Loop() {
				got := 0
				for _, err := range s.AllRows(ctx, Filter{}) {
					if err != nil {
						b.Fatal(err)
					}
					got++
				}
				if got != n {
					b.Fatalf("%d rows, want %d", got, n)
				}
			}
			perRecord(b, n)
		})
		s.Close()
	}
}

// addSlip keeps a picture and its reading of several records, and corrects one.
func addSlip(ctx context.Context, s *Store, i int) error {
	c, _, err := s.Keep(ctx, "a.jpg", []byte(fmt.Sprintf("\xff\xd8\xff picture %d", i)+strings.Repeat("x", 10_000)), fmt.Sprint(i%200))
	if err != nil {
		return err
	}
	var r Reading
	for k := range perSlip {
		one := tankTest(fmt.Sprint(k+1), fmt.Sprintf("20%02d-%02d-%02dT%02d:%02d", 5+i/336%20, 1+i/28%12, 1+i%28, k, i/6720%60), "pass")
		records := one.Slips[0].Report.Records
		for name, f := range records[0].Fields {
			f.Box.Y += 300 * k
			records[0].Fields[name] = f
		}
		if k > 0 {
			records = append(append([]record.Record{}, r.Slips[0].Report.Records...), records...)
		}
		one.Slips[0].Report.Records = records
		r = one
	}
	if err := s.SaveReadings(ctx, c.ID, []Reading{r}); err != nil {
		return err
	}
	return s.Decide(ctx, Decision{Record: name("r", int64(i*perSlip+1)), Action: Correct, Field: "result", Value: "fail"})
}

// peakMB is the most memory that the process had so far.
func peakMB(b *testing.B) float64 {
	b.Helper()
	raw, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0
	}
	_, after, _ := strings.Cut(string(raw), "VmHWM:")
	var kb float64
	if _, err := fmt.Sscan(after, &kb); err != nil {
		b.Fatal(err)
	}
	return kb / 1024
}
