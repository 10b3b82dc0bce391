package archive_test

import (
	"context"
	"fmt"
	"os"
	"strings"
	"syscall"
	"testing"
	"time"

	"tankroll/archive"
	"tankroll/index"
	"tankroll/record"
)

// BenchmarkKeep is one picture of 100 kB made durable, and its reading with it.
func BenchmarkKeep(b *testing.B) {
	ctx := context.Background()
	s, err := archive.Open(ctx, b.TempDir())
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
		if err := s.SaveReadings(ctx, c.ID, []archive.Reading{madeReading(i)}); err != nil {
			b.Fatal(err)
		}
	}
}

// perSlip is how many records stand on one picture of the archives below.
const perSlip = 10

// BenchmarkArchive is the cost of a record in archives of invented records: to add
// it, to verify it, to show its present state, to index it anew. It should not grow
// with the archive.
func BenchmarkArchive(b *testing.B) {
	for _, n := range []int{1000, 10_000, 100_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) { benchArchive(b, n) })
	}
}

func benchArchive(b *testing.B, n int) {
	ctx := context.Background()
	dir := b.TempDir()
	s, err := archive.Open(ctx, dir)
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	slips := 0
	fill := func() {
		if err := addSlip(ctx, s, slips); err != nil {
			b.Fatal(err)
		}
		slips++
	}
	for slips < n/perSlip*9/10 { // nearly full, so that the last tenth is timed
		fill()
	}
	per := func(what string, records func() int, f func()) {
		b.Run(what, func(b *testing.B) {
			forgetPeak(b)
			before := processor(b)
			for b.Loop() {
				f()
			}
			times := float64(b.N) * float64(records())
			b.ReportMetric(float64(b.Elapsed().Microseconds())/times, "µs/record")
			b.ReportMetric(float64((processor(b)-before).Microseconds())/times, "cpu-µs/record")
			b.ReportMetric(peakMB(b), "MB-peak")
		})
	}
	per("add", func() int { return perSlip }, fill)
	for slips < n/perSlip {
		fill()
	}
	all := func() int { return slips * perSlip }
	per("verify", all, func() {
		if bad, err := s.Check(ctx); err != nil || len(bad) > 0 {
			b.Fatal(bad, err)
		}
	})
	per("state", all, func() {
		got := 0
		for _, err := range s.AllRows(ctx, archive.Filter{}) {
			if err != nil {
				b.Fatal(err)
			}
			got++
		}
		if got != all() {
			b.Fatalf("%d rows, want %d", got, all())
		}
	})
	per("reindex", all, func() {
		if err := index.Rebuild(ctx, dir, s); err != nil {
			b.Fatal(err)
		}
	})
}

// addSlip keeps a picture and its reading of several records, and corrects one.
func addSlip(ctx context.Context, s *archive.Store, i int) error {
	c, _, err := s.Keep(ctx, "a.jpg", []byte(fmt.Sprintf("\xff\xd8\xff picture %d", i)+strings.Repeat("x", 10_000)), fmt.Sprint(i%200))
	if err != nil {
		return err
	}
	if err := s.SaveReadings(ctx, c.ID, []archive.Reading{madeReading(i)}); err != nil {
		return err
	}
	return s.Decide(ctx, archive.Decision{Record: fmt.Sprintf("r%d", i*perSlip+1), Action: archive.Correct, Field: "result", Value: "fail"})
}

// madeReading is a slip with several tests, each of its own minute and with four lines of print.
func madeReading(i int) archive.Reading {
	field := func(v string, y int) record.Field {
		return record.Field{Value: v, Text: v, Box: record.Box{X: 40, Y: y, W: 300, H: 40}, Confidence: 0.99, Sure: true, Origin: record.Printed}
	}
	site := field("0114", 20)
	var out archive.SlipReading
	out.Report.Header.SiteNumber = &site
	for k := range perSlip {
		y := 100 + 300*k
		r := record.Record{Kind: record.TankTest, Fields: record.Fields{}}
		for _, f := range [][2]string{
			{"tank", fmt.Sprint(k + 1)}, {"test_class", "0.2"}, {"result", "pass"},
			{"ended_at", fmt.Sprintf("20%02d-%02d-%02dT%02d:%02d", 5+i/336%20, 1+i/28%12, 1+i%28, k, i/6720%60)},
		} {
			name, v := f[0], f[1]
			r.Fields[name] = field(v, y)
			y += 50
			line := record.Line{Box: record.Box{X: 40, Y: y, W: 400, H: 40}}
			for _, w := range strings.Fields(strings.ToUpper(name + " IS " + v)) {
				line.Words = append(line.Words, record.Word{Text: w, Width: float64(len(w)), Box: record.Box{X: 40, Y: y, W: 80, H: 40}, Confidence: 0.99})
			}
			out.Slip.Lines = append(out.Slip.Lines, line)
		}
		out.Report.Records = append(out.Report.Records, r)
	}
	return archive.Reading{Page: 1, OCRVersion: 1, GrammarVersion: 1, Slips: []archive.SlipReading{out}}
}

// processor is the processor time of the process so far, which other work on the
// machine disturbs less than the time that passes.
func processor(b *testing.B) time.Duration {
	b.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// forgetPeak lets the count of the most memory begin anew.
func forgetPeak(b *testing.B) {
	b.Helper()
	if err := os.WriteFile("/proc/self/clear_refs", []byte("5"), 0); err != nil {
		b.Fatal(err)
	}
}

// peakMB is the most memory that the process had since.
func peakMB(b *testing.B) float64 {
	b.Helper()
	raw, err := os.ReadFile("/proc/self/status")
	if err != nil {
		b.Fatal(err)
	}
	_, after, _ := strings.Cut(string(raw), "VmHWM:")
	var kb float64
	if _, err := fmt.Sscan(after, &kb); err != nil {
		b.Fatal(err)
	}
	return kb / 1024
}
