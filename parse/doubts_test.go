package parse_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"regexp"
	"sort"
	"strings"
	"testing"

	"tankroll/fixtures/console"
	"tankroll/fixtures/scenario"
	"tankroll/parse"
	"tankroll/record"
)

// doubtTally counts on how many right and wrong values a doubt stands, and on how many of
// them it stands alone.
type doubtTally struct{ right, wrong, aloneRight, aloneWrong int }

// doubtCount counts the doubts of reports by their kind.
type doubtCount struct {
	show                               string // a part of a doubt's words: notes tells what is wrong and has this doubt alone
	notes                              []string
	kinds                              map[string]*doubtTally
	right, rightSure, wrong, wrongSure int
}

var quotedOrNumber = regexp.MustCompile(`"[^"]*"|[-+]?\d[\d.,:T-]*`)

// doubtKind is a reason without what it says of the one slip.
func doubtKind(why string) string {
	return quotedOrNumber.ReplaceAllStringFunc(why, func(s string) string {
		if s[0] == '"' {
			return "…"
		}
		return "#"
	})
}

func (c *doubtCount) add(text string, want, got record.Report) {
	defer func() {
		if len(c.notes) > 0 {
			fmt.Printf("---\n%s\n%s\n", text, strings.Join(c.notes, "\n"))
		}
		c.notes = nil
	}()
	w, g := want.Header, got.Header
	for _, h := range [][2]*record.Field{{w.Site, g.Site}, {w.SiteNumber, g.SiteNumber}, {w.Address, g.Address}, {w.PrintedAt, g.PrintedAt}} {
		if h[1] == nil {
			continue
		}
		c.field("header", h[0], *h[1], []string{"header"})
	}
	pairs := matchRecords(want.Records, got.Records)
	partner := map[int]record.Record{}
	for i, j := range pairs {
		if j >= 0 {
			partner[j] = want.Records[i]
		}
	}
	for j, r := range got.Records {
		doubts := map[string][]string{}
		for _, d := range r.Doubts {
			why := d.Why
			if c.show == "" {
				why = doubtKind(why)
			}
			doubts[d.Field] = append(doubts[d.Field], why)
		}
		for name, f := range r.Fields {
			var of *record.Field
			if f, ok := partner[j].Fields[name]; ok {
				of = &f
			}
			c.field(string(r.Kind)+"."+name, of, f, doubts[name])
		}
	}
}

func valueOf(f *record.Field) string {
	if f == nil {
		return "none"
	}
	return fmt.Sprint(f.Value)
}

func (c *doubtCount) field(name string, want *record.Field, got record.Field, why []string) {
	right := want != nil && same(*want, got)
	if c.show != "" && !got.Sure && len(why) == 1 && strings.Contains(why[0], c.show) {
		c.notes = append(c.notes, fmt.Sprintf(map[bool]string{true: "right", false: "wrong"}[right]+": %s = %v (%q) want %s: %s", name, got.Value, got.Text, valueOf(want), why[0]))
	}
	if c.show == "sure" && !right && got.Sure {
		c.notes = append(c.notes, fmt.Sprintf("sure and wrong: %s = %v (%q) want %s", name, got.Value, got.Text, valueOf(want)))
	}
	switch {
	case right && got.Sure:
		c.right, c.rightSure = c.right+1, c.rightSure+1
	case right:
		c.right++
	case got.Sure:
		c.wrong, c.wrongSure = c.wrong+1, c.wrongSure+1
	default:
		c.wrong++
	}
	if got.Sure {
		return
	}
	for _, w := range why {
		t := c.kinds[w]
		if t == nil {
			t = &doubtTally{}
			c.kinds[w] = t
		}
		switch {
		case right && len(why) == 1:
			t.right, t.aloneRight = t.right+1, t.aloneRight+1
		case right:
			t.right++
		case len(why) == 1:
			t.wrong, t.aloneWrong = t.wrong+1, t.aloneWrong+1
		default:
			t.wrong++
		}
	}
}

func (c *doubtCount) String() string {
	var kinds []string
	for k := range c.kinds {
		kinds = append(kinds, k)
	}
	sort.Slice(kinds, func(i, j int) bool {
		a, b := c.kinds[kinds[i]], c.kinds[kinds[j]]
		if a.aloneRight != b.aloneRight {
			return a.aloneRight > b.aloneRight
		}
		return kinds[i] < kinds[j]
	})
	var b strings.Builder
	fmt.Fprintf(&b, "right %d, of them sure %d (%.3f); wrong or extra %d, of them sure %d\n", c.right, c.rightSure, float64(c.rightSure)/float64(max(1, c.right)), c.wrong, c.wrongSure)
	fmt.Fprintf(&b, "%6s %6s %6s %6s\n", "right", "wrong", "alone", "alone")
	for _, k := range kinds {
		t := c.kinds[k]
		fmt.Fprintf(&b, "%6d %6d %6d %6d  %s\n", t.right, t.wrong, t.aloneRight, t.aloneWrong, k)
	}
	return b.String()
}

// TestDoubts shows for every kind of doubt on how many right and wrong values it stands,
// and stands alone: DOUBTS names the sets, "strangers", "fit" or the numbers of batches of
// mixed consoles, whose seeds go from MIX_FROM to MIX_SEEDS. DOUBTS_SHOW, a part of a doubt's words, shows slips with
// values on which it stands alone, "sure" those with wrong values that are sure. It holds nothing to anything.
func TestDoubts(t *testing.T) {
	sets := strings.Fields(os.Getenv("DOUBTS"))
	if len(sets) == 0 {
		t.Skip("no DOUBTS")
	}
	for _, set := range sets {
		c := &doubtCount{kinds: map[string]*doubtTally{}, show: os.Getenv("DOUBTS_SHOW")}
		switch set {
		case "strangers":
			dirs := strings.Fields(os.Getenv("STRANGERS"))
			if len(dirs) == 0 {
				dirs = []string{"testdata/strangers/*"}
			}
			for _, dir := range dirs {
				for _, s := range strangers(t, dir) {
					got := readTyped(s.text, parse.Hints{})
					want := s.want.Report
					want.Records, got.Records = s.want.AsWanted(got.Records)
					c.add(s.text, want, got)
				}
			}
		case "fit":
			printouts("fit", 3, func(p console.Printout, _ record.Kind, _ uint64) {
				c.add(p.Text(), p.Truth, readTyped(p.Text(), parse.Hints{}))
			})
		default:
			for n := fromEnv("MIX_FROM", 1); n <= fromEnv("MIX_SEEDS", 6); n++ {
				mixed := console.Mixed(fromText(set), uint64(n))
				for _, k := range record.Kinds() {
					p := mixed.Print(rand.New(rand.NewPCG(uint64(n), 7)), scenario.Make(uint64(n)), k)
					c.add(p.Text(), p.Truth, readTyped(p.Text(), parse.Hints{}))
				}
			}
		}
		t.Logf("%s: %s", set, c)
	}
}

func fromText(s string) int {
	n := 0
	fmt.Sscan(s, &n)
	return n
}
