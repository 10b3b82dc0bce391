package index

import (
	"math/rand"
	"slices"
	"testing"

	"github.com/RoaringBitmap/roaring/v2"

	"tankroll/index/table"
)

// What the timeline finds is what a look at every record finds.
func TestTimeline(t *testing.T) {
	const records = 8 * fewMembers
	rng := rand.New(rand.NewSource(1))
	column := make([]int64, records)
	all := roaring.New()
	for no := range column {
		if rng.Intn(10) == 0 { // no copies of these, nor any others
			continue
		}
		all.Add(uint32(no))
		if rng.Intn(20) > 0 {
			column[no] = int64(20150101+10000*rng.Intn(8)+100*rng.Intn(12)+rng.Intn(28))*dayStep + int64(rng.Intn(3))
		}
	}
	at := table.Numbers{}
	for part := range slices.Chunk(column, table.Stretch) {
		at = append(at, append(part, make([]int64, table.Stretch-len(part))...))
	}
	line := newTimeline(at, all)
	var few, none *roaring.Bitmap = roaring.New(), roaring.New()
	for no := uint32(0); no < records; no += 97 {
		few.Add(no)
	}
	few.And(all)
	old := kept(all, func(no uint32) bool { return column[no] < 20170101*dayStep })
	for _, of := range []*roaring.Bitmap{all, few, none, old} {
		for range 50 {
			day := func() int64 { return int64(20140101+10000*rng.Intn(11)+100*rng.Intn(13)+rng.Intn(31)) * dayStep }
			low, high := day(), day()
			want := kept(of, func(no uint32) bool { n := column[no]; return n != 0 && low <= n && n <= high })
			if got := line.between(of, low, high); !got.Equals(want) {
				t.Fatalf("%d to %d of %d: %d, want %d", low, high, of.GetCardinality(), got.GetCardinality(), want.GetCardinality())
			}
			if n := line.all(low, high).AndCardinality(of); n != want.GetCardinality() || line.size(low, high) < n {
				t.Fatalf("%d to %d: %d, want %d", low, high, n, want.GetCardinality())
			}
		}
		for _, newest := range []bool{false, true} {
			for _, size := range []int{1, 3, 100, fewMembers + 1, records} {
				want := top(func(f func([]uint32)) { eachOf(of, f) }, at, newest, size)
				if got := line.top(of, newest, size); !slices.Equal(got, want) {
					t.Fatalf("the first %d of %d, newest %t: not as by a look at each", size, of.GetCardinality(), newest)
				}
			}
		}
	}
	if n := newTimeline(nil, roaring.New()); len(n.top(all, true, 2)) != 2 || !n.all(1, 2).IsEmpty() {
		t.Error("nothing has a time, and something was found by it")
	}
}
