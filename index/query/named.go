package query

import (
	"slices"
	"strconv"
	"strings"
)

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
	p.siteEnd = i + n
	return n
}

// anotherSite reads "and Northgate": a query may ask for several sites by number.
func (p *parser) anotherSite(i int) int {
	first := 1
	if p.w[i] != "and" && p.w[i] != "or" {
		if !p.t[i].cut || p.siteEnd != i || i == 0 { // 101, 102 and 103
			return 0
		}
		first = 0
	}
	for lead := first; lead <= 3 && i+lead < len(p.w); lead++ {
		found, n := p.sites.whole(p.w[i+lead:])
		if n == 0 && p.siteAhead(i+lead) {
			x, _ := p.sites.number(p.w[i+lead])
			p.addSite(x.Number)
			p.siteEnd = i + lead + 1
			return lead + 1
		}
		if no := ""; n > 0 && len(found) == 1 {
			if no = p.sites.sites[found[0]].Number; no != "" && p.addSite(no) {
				p.siteEnd = i + lead + n
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
	if has(p.w, "both") && p.takeAll(all) {
		return
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

// several takes all sites that share a word which is asked for in the plural: the
// ferries.
func (p *parser) several(w string) bool {
	one, ok := strings.CutSuffix(w, "ies")
	if one += "y"; !ok {
		if one, ok = strings.CutSuffix(w, "s"); !ok {
			return false
		}
	}
	if len(one) < 4 || len(p.sites.holds[w]) > 0 || common[one] {
		return false
	}
	var all []Site
	for _, i := range p.sites.holds[one] {
		all = append(all, p.sites.sites[i])
	}
	return len(all) > 1 && p.takeAll(all)
}

// oneOf is a name of which both are asked for: ferries is ferry.
func (p *parser) oneOf(w string) string {
	if !has(p.w, "both") || len(w) < 5 {
		return w
	}
	if one, ok := strings.CutSuffix(w, "ies"); ok {
		return one + "y"
	}
	return strings.TrimSuffix(w, "s")
}

// takeAll takes several sites of one name, when both are asked for.
func (p *parser) takeAll(all []Site) bool {
	var numbers []string
	for _, x := range all {
		if x.Number != "" {
			numbers = append(numbers, x.Number)
		}
	}
	if len(numbers) < 2 || len(numbers) > 9 || len(numbers) < len(all) {
		return false
	}
	p.q.Site, p.q.SiteName = strings.Join(numbers, ","), ""
	p.assume("of one name are sites " + strings.Join(numbers, " and "))
	return true
}

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
				run = append(run, p.oneOf(p.w[p.pending[j]]))
			}
			n := 1
			x, ok := p.sites.number(run[0])
			if ok {
				p.q.Site, p.q.SiteName = x.Number, x.Name
				if at := p.pending[k] + 1; at+1 < len(p.w) && k+1 < len(p.pending) && p.pending[k+1] == at+1 && p.siteRange(at) > 0 {
					p.pending = slices.Delete(p.pending, k, k+2)
					return
				}
				for k+n < len(p.pending) { // 108 and 117
					j := p.pending[k+n]
					if !p.siteAhead(j) || j > p.pending[k+n-1]+2 || !p.addSite(p.w[j]) {
						break
					}
					n++
				}
			} else {
				var found []int
				if p.several(run[0]) {
					p.pending = slices.Delete(p.pending, k, k+1)
					return
				}
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
