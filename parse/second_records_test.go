package parse

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"tankroll/parse/tagger"
)

// TestClusters: what is likely of one record comes together, a field once a record; what stands for
// two records goes to one of them.
func TestClusters(t *testing.T) {
	const y, n = 0.9, 0.1
	for name, c := range map[string]struct {
		same string // of each with those before it
		but  [][2]int
		want string
	}{
		"two records":             {"/9/11/119", nil, "[0 1] [2 3]"},
		"a field comes once":      {"/9/99", [][2]int{{0, 2}}, "[0 1] [2]"},
		"one for two records":     {"/9/91/919/", [][2]int{{1, 2}, {3, 1}}, "[0 1] [2 3]"},
		"nothing goes together":   {"/1/11", nil, "[0] [1] [2]"},
		"by the mean, not a pair": {"/9/19/", nil, "[0 1] [2]"},
	} {
		rows := strings.Split(strings.TrimSuffix(c.same, "/"), "/")
		same, may := make([][]float64, len(rows)), make([][]bool, len(rows))
		for i := range rows {
			same[i], may[i] = make([]float64, len(rows)), make([]bool, len(rows))
		}
		for i, row := range rows {
			for j, r := range row {
				same[i][j], may[i][j] = map[rune]float64{'9': y, '1': n}[r], !slices.Contains(c.but, [2]int{j, i})
				same[j][i], may[j][i] = same[i][j], may[i][j]
			}
		}
		var got []string
		for _, m := range clusters(same, may) {
			if m != nil {
				slices.Sort(m)
				got = append(got, fmt.Sprint(m))
			}
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%s: %s, want %s", name, s, c.want)
		}
	}
}

// TestAbsorb: what says once more what a record has is no record, another one with the same fields is.
func TestAbsorb(t *testing.T) {
	claims := []claim{{tag: tagger.Tag{Kind: "tank_test", Field: "tank"}}, {tag: tagger.Tag{Kind: "tank_test", Field: "result"}}, {tag: tagger.Tag{Kind: "tank_test", Field: "result"}}}
	for again, want := range map[float64]string{0.9: "[[0 1] []]", 0.1: "[[0 1] [2]]"} {
		members := [][]int{{0, 1}, {2}}
		absorb(claims, members, [][]float64{{0, 0.9, 0.9}, {0.9, 0, again}, {0.9, again, 0}})
		if s := fmt.Sprint(members); s != want {
			t.Errorf("a second result of the same record with %v: %s, want %s", again, s, want)
		}
	}
}

// TestClaimedValues: values as they are printed, of words that no rule has cut for it.
func TestClaimedValues(t *testing.T) {
	for text, want := range map[string]struct {
		kind, field string
		from        int // the first token
		value       any
	}{
		"ROOM LEFT 36 400":   {"inventory", "ullage", 2, 36400.0},
		"OUTAGE....5,097.7":  {"inventory", "ullage", 0, 5097.7},
		"1=DIESEL":           {"inventory", "product", 0, "DIESEL"},
		"VESSEL B":           {"inventory", "tank", 1, "B"},
		"Liquid in chamber":  {"alarm", "event", 0, "Liquid in chamber"},
		"TAKEN TIME 06:05AM": {"inventory", "at", 1, nil},
	} {
		s := Typed(text + "\n")[0]
		d := newDoc(s, Hints{})
		d.second = d.readSecond(s)
		toks := d.lines[0].toks[want.from:]
		f, ok := d.factOf(claim{tag: tagger.Tag{Kind: want.kind, Field: want.field}, words: d.second.wordsOf(toks), toks: toks})
		if !ok || f.read.value != want.value || want.value == nil && !f.read.hasClock() {
			t.Errorf("%s: %v (%v), want %v", text, f.read.value, ok, want.value)
		}
	}
}
