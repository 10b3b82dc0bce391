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
		if ok && telling {
			return true
		}
	}
	return false
}

// close reports whether slips of the fingers make a word into a name's: one in a
// short word, two in a long one.
func close(w, name string) bool {
	if len(w) < 4 || strings.ContainsAny(w, "0123456789") {
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

// named reads the whole name of a known site wherever it stands.
func (p *parser) named(i int) int {
	if p.q.Site != "" {
		return p.anotherSite(i)
	}
	lead, n, most := 0, 0, p.siteLead(i)
	var found []int
	for ; n == 0 && lead <= most && i+lead < len(p.w); lead++ { // a name may begin with a word like station
		if found, n = p.sites.whole(p.w[i+lead:]); n > 0 && (p.cutInside(i+lead, n) || n == 1 && lead == 0 && p.meaningful(i)) {
			n = 0
		}
	}
	if n == 0 {
		return 0
	}
	p.takeSites(found, "")
	n += lead - 1
	if i+n < len(p.w) && has([]string{"station", "store", "site", "location", "shop"}, p.w[i+n]) && !(i+n+1 < len(p.w) && identForm.MatchString(p.w[i+n+1])) {
		n++
	}
	return n
}

// anotherSite reads "and Northgate": a query may ask for several sites by number.
func (p *parser) anotherSite(i int) int {
	if p.w[i] != "and" && p.w[i] != "or" {
		return 0
	}
	for lead := 1; lead <= 3 && i+lead < len(p.w); lead++ {
		found, n := p.sites.whole(p.w[i+lead:])
		if n == 0 && p.siteAhead(i+lead) {
			x, _ := p.sites.number(p.w[i+lead])
			p.addSite(x.Number)
			return lead + 1
		}
		if no := ""; n > 0 && len(found) == 1 {
			if no = p.sites.sites[found[0]].Number; no != "" && p.addSite(no) {
				return lead + n
			}
		}
		if w := p.w[i+lead]; w != "at" && w != "the" && !siteWords[w] {
			return 0
		}
	}
	return 0
}

func (p *parser) addSite(no string) bool {
	if strings.Trim(p.q.Site, "0123456789,") != "" || strings.Count(p.q.Site, ",") > 8 {
		return false
	}
	p.q.Site, p.q.SiteName = p.q.Site+","+no, ""
	return true
}

// siteLead counts the words before a site's name.
func (p *parser) siteLead(i int) int {
	n := 0
	if has([]string{"at", "for", "from", "to", "in", "of"}, p.w[i]) {
		n++
	}
	for i+n < len(p.w) && n < 4 && (p.w[i+n] == "the" || p.w[i+n] == "our" || siteWords[p.w[i+n]]) {
		n++
	}
	return n
}

// meaningful reports a word that has a meaning of its own.
func (p *parser) meaningful(i int) bool {
	w := p.w[i]
	_, kind := p.kindOf(w)
	_, grade := p.grades(w)
	_, result := p.resultAt(i)
	return kind || grade || result || devices[w] != "" || siteWords[w] || filler[w] || superlatives[w] != "" || everything[w] || p.dates.month(w) != 0
}

// takeSites takes a site found by name; of several, each is a reading.
func (p *parser) takeSites(found []int, as string) {
	var all []Site
	for _, i := range found {
		if x := p.sites.sites[i]; !slices.Contains(all, x) {
			all = append(all, x)
		}
	}
	put := func(q *Query, x Site) {
		q.Site, q.SiteName = x.Number, x.Name
		if x.Number == "" {
			q.Site, q.SiteName = x.Name, ""
		}
	}
	put(&p.q, all[0])
	if as != "" {
		p.assume(as + " is taken as site " + all[0].said())
	}
	for _, x := range all[1:min(len(all), 6)] {
		p.alternative("site "+x.said(), func(q *Query) { put(q, x) })
	}
	if len(all) > 1 {
		p.assume(strconv.Itoa(len(all)) + " sites have such a name; this is site " + all[0].said())
	}
}

func (x Site) said() string { return strings.TrimSpace(x.Number + " " + x.Name) }

// knownAt reads what follows "at" when it is part of a known site's name or its
// name misspelt.
func (p *parser) knownAt(i int) int {
	end := i
	for end < len(p.w) && end-i < maxName && !p.stops(end, end == i) {
		end++
	}
	for _, slips := range []bool{false, true} {
		if found, n := p.sites.part(p.w[i:end], slips); n > 0 {
			as := ""
			if slips || len(p.sites.words[found[0]]) != n {
				as = strings.Join(p.w[i:i+n], " ")
			}
			p.takeSites(found, as)
			return n
		}
	}
	return 0
}

// settleSite looks for a known site in the words that nobody understood: part of
// its name, its number, or its name misspelt.
func (p *parser) settleSite() {
	if p.q.Site != "" || len(p.sites.sites) == 0 {
		return
	}
	for _, slips := range []bool{false, true} {
		for k := 0; k < len(p.pending); k++ {
			run := []string{}
			for j := k; j < len(p.pending) && len(run) < maxName && p.pending[j] == p.pending[k]+len(run); j++ {
				run = append(run, p.w[p.pending[j]])
			}
			n := 1
			x, ok := p.sites.number(run[0])
			if ok {
				p.q.Site, p.q.SiteName = x.Number, x.Name
			} else {
				var found []int
				if found, n = p.sites.part(run, slips); n == 0 || p.ownWord(run[:n]) {
					continue
				}
				p.takeSites(found, strings.Join(run[:n], " "))
			}
			p.pending = slices.Delete(p.pending, k, k+n)
			return
		}
	}
}

// ownWord reports one word that mends to a word of questions: "lattest" is no
// place.
func (p *parser) ownWord(run []string) bool {
	if len(run) != 1 {
		return false
	}
	for _, w := range vocabulary(p.lex) {
		if near(run[0], w) {
			return true
		}
	}
	return false
}
