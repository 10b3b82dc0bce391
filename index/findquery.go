package index

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"

	"tankroll/archive"
	"tankroll/index/text"
	"tankroll/record"
)

// Search is what Find looks for.
type Search struct {
	// Text is what a person types: words that must all be printed on the slip,
	// "phrases in quotes", -words that must not be there, and filters: site:114
	// kind:"tank test" product:diesel result:fail from:2024-05 to:2024-12-31.
	// One record of the slip must meet all filters.
	Text   string
	Sort   string // ByMatch, ByPrinted or ByTested
	Oldest bool   // the oldest first, when sorted by date
	Limit  int    // slips at most; MaxRows when 0 or more
	Facets bool   // count what was found by site, kind, product, result and month
}

// The orders of what is found: the best match first, or the newest first by the
// date printed on the slip or by the newest test or event on it.
const (
	ByMatch   = ""
	ByPrinted = "printed"
	ByTested  = "tested"
)

// Bounds of a search; a person types far less.
const (
	maxSearch = 1000 // characters
	maxTerms  = 32   // words and phrases
)

// ErrSearch marks a search that cannot be made as it was typed; its text says
// what to change.
var ErrSearch = errors.New("cannot be searched for")

// lookup is a search that was understood.
type lookup struct {
	terms, not []text.Term
	filters    map[string]string // by the name before the colon
}

// filterNames are the filters in the order in which they are said.
var filterNames = []string{"site", "kind", "product", "result", "from", "to"}

// parseSearch reads what a person typed into a search box.
func parseSearch(typed string) (lookup, error) {
	w := lookup{filters: map[string]string{}}
	if n := len([]rune(typed)); n > maxSearch {
		return w, fmt.Errorf("%w: %d characters are more than %d, give fewer words", ErrSearch, n, maxSearch)
	}
	for rest := strings.TrimSpace(typed); rest != ""; rest = strings.TrimSpace(rest) {
		not := false
		if strings.HasPrefix(rest, "-") {
			not, rest = true, rest[1:]
		}
		name := ""
		for _, n := range filterNames {
			if len(rest) > len(n) && strings.EqualFold(rest[:len(n)], n) && rest[len(n)] == ':' {
				name, rest = n, rest[len(n)+1:]
			}
		}
		var piece string
		if strings.HasPrefix(rest, `"`) {
			piece, rest, _ = strings.Cut(rest[1:], `"`)
		} else if i := strings.IndexFunc(rest, unicode.IsSpace); i >= 0 {
			piece, rest = rest[:i], rest[i:]
		} else {
			piece, rest = rest, ""
		}
		switch {
		case name != "" && (not || strings.TrimSpace(piece) == ""):
			return w, fmt.Errorf("%w: %s: wants a value and no minus, as in %s", ErrSearch, name, filterExample[name])
		case name != "" && w.filters[name] != "" && w.filters[name] != piece:
			return w, fmt.Errorf("%w: %s: is given twice, once is enough", ErrSearch, name)
		case name != "":
			w.filters[name] = piece
			continue
		}
		if t, ok := text.NewTerm(piece, not); ok && not {
			// What must not be there is taken as it stands, so that no slip is left out
			// for a word that only looks like it.
			w.not = append(w.not, t)
		} else if ok {
			w.terms = append(w.terms, t)
		}
		if len(w.terms)+len(w.not) > maxTerms {
			return w, fmt.Errorf("%w: more than %d words and phrases, give fewer", ErrSearch, maxTerms)
		}
	}
	if len(w.terms) == 0 && len(w.filters) == 0 {
		return w, fmt.Errorf("%w: no word to look for, give at least one, or a filter such as site:114", ErrSearch)
	}
	return w, nil
}

var filterExample = map[string]string{"site": "site:114", "kind": `kind:"tank test"`, "product": "product:diesel",
	"result": "result:fail", "from": "from:2024-05", "to": "to:2024-12-31"}

// String says how the search was understood.
func (w lookup) String() string {
	var parts []string
	say := func(before string, list []text.Term) {
		for _, t := range list {
			parts = append(parts, fmt.Sprintf("%s%q", before, t.Shown))
		}
	}
	say("", w.terms)
	say("not ", w.not)
	for _, n := range filterNames {
		if v := w.filters[n]; v != "" {
			parts = append(parts, n+" "+v)
		}
	}
	return strings.Join(parts, ", ")
}

// records is what the filters ask of one record, nil when there are none.
func (w lookup) records(ctx context.Context, ix *Index, v view) (expr, error) {
	var list []expr
	for _, n := range filterNames {
		if w.filters[n] == "" || n == "to" && w.filters["from"] != "" {
			continue
		}
		e, err := w.filter(ctx, ix, v, n)
		if err != nil {
			return nil, err
		}
		list = append(list, e)
	}
	if list == nil {
		return nil, nil
	}
	return allOf(list...), nil
}

func (w lookup) filter(ctx context.Context, ix *Index, v view, name string) (expr, error) {
	value := w.filters[name]
	switch name {
	case "site":
		return siteFilter(ctx, v, value)
	case "kind":
		key := strings.NewReplacer(" ", "_", "-", "_").Replace(strings.ToLower(value))
		for _, k := range record.Kinds() {
			if many := strings.ReplaceAll(plural(k), " ", "_"); key == string(k) || key == many {
				return is("kind", string(k)), nil
			}
		}
		return nil, fmt.Errorf("%w: kind:%s is none, give one of %s", ErrSearch, value, listed(record.Kinds()))
	case "product":
		if g, cost, ok := ix.lex.GradeOf(value); ok && cost == 0 {
			return is("grade", g), nil
		}
		t, ok := text.NewTerm(value, false)
		if !ok {
			return nil, fmt.Errorf("%w: product:%s holds no word", ErrSearch, value)
		}
		labels, err := v.labelled(ctx, t)
		return keyIn("label", labels), err
	case "result":
		results := map[string]string{"pass": "pass", "passed": "pass", "passing": "pass", "fail": "fail", "failed": "fail", "failing": "fail",
			"inconclusive": "inconclusive", "aborted": "aborted"}
		if r := results[strings.ToLower(value)]; r != "" {
			return is("result", r), nil
		}
		return nil, fmt.Errorf("%w: result:%s is none, give pass, fail, inconclusive or aborted", ErrSearch, value)
	}
	from, to, err := w.dates()
	return dates(from, to).find, err
}

func listed(kinds []record.Kind) string {
	var out []string
	for _, k := range kinds {
		out = append(out, string(k))
	}
	return strings.Join(out, ", ")
}

// dates are the first and the last day that the filters name; a year or a month
// stands for all its days.
func (w lookup) dates() (from, to string, err error) {
	if s := w.filters["from"]; s != "" {
		first, _, ok := daysOf(s)
		if !ok {
			return "", "", fmt.Errorf("%w: from:%s is no date, give 2024, 2024-05 or 2024-05-14", ErrSearch, s)
		}
		from = first
	}
	if s := w.filters["to"]; s != "" {
		_, last, ok := daysOf(s)
		if !ok {
			return "", "", fmt.Errorf("%w: to:%s is no date, give 2024, 2024-05 or 2024-05-14", ErrSearch, s)
		}
		to = last
	}
	return from, to, nil
}

func daysOf(s string) (first, last string, ok bool) {
	for _, form := range []struct {
		layout              string
		years, months, days int
	}{{"2006", 1, 0, 0}, {"2006-01", 0, 1, 0}, {time.DateOnly, 0, 0, 1}} {
		if t, err := time.Parse(form.layout, s); err == nil {
			end := t.AddDate(form.years, form.months, form.days).AddDate(0, 0, -1)
			return t.Format(time.DateOnly), end.Format(time.DateOnly), true
		}
	}
	return "", "", false
}

// siteFilter takes a site's number or name, else a part of names.
func siteFilter(ctx context.Context, v view, value string) (expr, error) {
	sites, err := v.Values(ctx, "site")
	if err != nil {
		return nil, err
	}
	key := archive.SiteKey(value)
	if slices.Contains(sites, key) {
		return is("site", key), nil
	}
	var some []string
	if t, ok := text.NewTerm(value, false); ok {
		for _, s := range sites {
			if t.On(text.Fold(s), nil) {
				some = append(some, s)
			}
		}
	}
	if len(some) == 0 {
		return nil, fmt.Errorf("%w: site:%s is the number or name of no site with records", ErrSearch, value)
	}
	return keyIn("site", some), nil
}
