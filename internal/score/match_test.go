package score

import (
	"math/rand/v2"
	"testing"

	"tankroll/record"
)

// TestMatch compares the pairing with the best of all pairings of few records.
func TestMatch(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		want, got := make([]record.Record, rng.IntN(6)), make([]record.Record, rng.IntN(6))
		for i := range want {
			want[i] = record.Record{Kind: record.Alarm, Fields: record.Fields{"at": field(float64(i), true)}}
		}
		for i := range got {
			got[i] = record.Record{Kind: record.Alarm, Fields: record.Fields{"at": field(float64(i), true)}}
		}
		var worths [6][6]int
		for i := range worths {
			for j := range worths[i] {
				worths[i][j] = rng.IntN(5)
			}
		}
		place := func(r record.Record) int { n, _ := r.Fields["at"].Number(); return int(n) }
		sum, used := 0, map[int]bool{}
		for i, j := range Match(want, got, func(w, g record.Record) int { return worths[place(w)][place(g)] }) {
			if j < 0 {
				continue
			}
			if used[j] || worths[i][j] == 0 {
				t.Fatalf("%d is paired with %d twice or for nothing", i, j)
			}
			used[j], sum = true, sum+worths[i][j]
		}
		if best := bestSum(worths, 0, len(want), len(got), map[int]bool{}); sum != best {
			t.Fatalf("pairs are worth %d, the best %d", sum, best)
		}
	}
}

func bestSum(worths [6][6]int, i, n, m int, used map[int]bool) int {
	if i == n {
		return 0
	}
	best := bestSum(worths, i+1, n, m, used)
	for j := range m {
		if used[j] {
			continue
		}
		used[j] = true
		best = max(best, worths[i][j]+bestSum(worths, i+1, n, m, used))
		delete(used, j)
	}
	return best
}

// TestMatchKinds checks that kinds are not mixed and that order is no matter.
func TestMatchKinds(t *testing.T) {
	of := func(k record.Kind, v string) record.Record {
		return record.Record{Kind: k, Fields: record.Fields{"product": field(v, true)}}
	}
	truth := []record.Record{of(record.LineTest, "a"), of(record.LineTest, "b"), of(record.TankTest, "a")}
	got := []record.Record{of(record.TankTest, "a"), of(record.LineTest, "b"), of(record.LineTest, "a")}
	if f, _ := CountFields(truth, got); f.Right != 3 || f.Wrong+f.Missing != 0 {
		t.Errorf("%+v, want all three right", f)
	}
}
