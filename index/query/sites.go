package query

import (
	"maps"
	"slices"
	"strconv"
	"strings"
)

// Site is a site that the archive knows: its number, its printed name, or both.
type Site struct{ Number, Name string }

// maxName is the most words of a site's name that are compared.
const maxName = 6

// street are the short forms of words in addresses.
var street = map[string]string{"st": "street", "str": "street", "rd": "road", "ave": "avenue", "av": "avenue", "ln": "lane", "hwy": "highway", "blvd": "boulevard",
	"dr": "drive", "sq": "square", "ct": "court", "pl": "place", "pkwy": "parkway", "n": "north", "s": "south", "e": "east", "w": "west", "mt": "mount", "ctr": "center", "centre": "center"}

// common are words that many sites' names share: one alone is no name.
var common = set("street", "road", "avenue", "lane", "highway", "boulevard", "drive", "square", "court", "place", "parkway", "north", "south", "east", "west",
	"the", "of", "at", "and", "station", "store", "site", "stop", "shop", "center", "plaza", "corner", "mart", "fuel", "fuels", "gas", "service", "end", "old", "new", "hill", "town", "city", "no", "number")

// Names finds known sites by what people call them. Made once, it serves many
// questions; nil knows no site.
type Names struct {
	sites    []Site
	words    [][]string       // of each name, in the form in which they are compared
	holds    map[string][]int // word -> the names that hold it
	joined   map[string][]int // name without spaces
	numbers  map[string]int
	distinct []string // all words, sorted
}

// NewNames prepares the names of sites.
func NewNames(sites []Site) *Names {
	s := &Names{sites: sites, holds: map[string][]int{}, joined: map[string][]int{}, numbers: map[string]int{}}
	for i, x := range sites {
		words := siteForm(strings.FieldsFunc(strings.ToLower(x.Name), func(r rune) bool { return strings.ContainsRune(" .,;:()/-'\"#", r) }))
		words = words[:min(len(words), maxName)]
		s.words = append(s.words, words)
		for k, w := range words {
			if !slices.Contains(words[:k], w) {
				s.holds[w] = append(s.holds[w], i)
			}
		}
		if len(words) > 0 {
			j := strings.Join(words, "")
			s.joined[j] = append(s.joined[j], i)
		}
		if no := plainNumber(x.Number); x.Number != "" {
			if _, ok := s.numbers[no]; !ok {
				s.numbers[no] = i
			}
		}
	}
	s.distinct = slices.Sorted(maps.Keys(s.holds))
	return s
}

func siteForm(words []string) []string {
	out := slices.Clone(words)
	for i, w := range out {
		if full := street[w]; full != "" {
			out[i] = full
		}
	}
	return out
}

// whole finds the sites whose name begins a question's words, the longest name
// first.
func (s *Names) whole(words []string) (found []int, n int) {
	words = siteForm(words[:min(len(words), maxName)])
	for _, i := range s.holds[words[0]] {
		name := s.words[i]
		if len(name) < n || len(name) > len(words) || !slices.Equal(name, words[:len(name)]) {
			continue
		}
		if len(name) > n {
			found, n = nil, len(name)
		}
		found = append(found, i)
	}
	return found, n
}

// part finds the sites in whose name the words stand together or, with slips, a
// little misspelt; the most words first. A name's common words alone find
// nothing.
func (s *Names) part(words []string, slips bool) (found []int, n int) {
	words = siteForm(words[:min(len(words), maxName)])
	if len(words) == 0 {
		return nil, 0
	}
	perhaps := s.holding(words[0], slips)
	for n = len(words); n > 0; n-- {
		for _, i := range s.joined[strings.Join(words[:n], "")] {
			if (n == 1) != (len(s.words[i]) == 1) {
				found = append(found, i)
			}
		}
		for _, i := range perhaps {
			if within(words[:n], s.words[i], slips) && !slices.Contains(found, i) {
				found = append(found, i)
			}
		}
		if len(found) > 0 {
			return found, n
		}
	}
	return nil, 0
}

// holding are the names with a word that a question's word may stand for.
func (s *Names) holding(w string, slips bool) []int {
	out := slices.Clone(s.holds[w])
	for _, full := range s.distinct {
		if full != w && (len(w) >= 4 && strings.HasPrefix(full, w) || slips && close(w, full)) {
			out = append(out, s.holds[full]...)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func within(words, name []string, slips bool) bool {
	for at := 0; at+len(words) <= len(name); at++ {
		telling, ok := false, true
		for k, w := range words {
			full := name[at+k]
			if w != full && !(slips && close(w, full)) && !(len(w) >= 4 && strings.HasPrefix(full, w) && len(words) == 1) {
				ok = false
				break
			}
			telling = telling || !common[full]
		}
		if ok && (telling || len(words) > 1 && len(words) == len(name)) {
			return true
		}
	}
	return false
}

// close reports whether slips of the fingers make a word into a name's: one in a
// short word, two in a long one.
func close(w, name string) bool {
	if len(w) < 4 || len(w) == 4 && !turnedRound(w, name) && len(name) == 4 || strings.ContainsAny(w, "0123456789") {
		return false
	}
	return near(w, name) || len(w) >= 7 && w[0] == name[0] && distance(w, name, 2) <= 2
}

// distance counts inserted, lost, changed and swapped letters, up to a limit.
func distance(a, b string, limit int) int {
	if len(a)-len(b) > limit || len(b)-len(a) > limit || len(a) > 40 || len(b) > 40 {
		return limit + 1
	}
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}

func (s *Names) number(no string) (Site, bool) {
	i, ok := s.numbers[plainNumber(no)]
	if !ok {
		return Site{}, false
	}
	return s.sites[i], true
}

func plainNumber(no string) string {
	if n, err := strconv.ParseUint(no, 10, 64); err == nil {
		return strconv.FormatUint(n, 10)
	}
	return no
}

func (x Site) said() string { return strings.TrimSpace(x.Number + " " + x.Name) }
