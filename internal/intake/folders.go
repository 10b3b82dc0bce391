package intake

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"tankroll/archive"
)

// Folders says what the names of folders mean, level by level below the folder
// that is added.
type Folders struct{ levels []*regexp.Regexp }

// placeholders are the words that stand in braces and what they match.
var placeholders = map[string]string{
	"site":  `(?P<site>.+?)`,
	"year":  `(?P<year>(?:19|20)\d\d)`,
	"month": `(?P<month>\d{1,2}|[[:alpha:]]{3,9})`,
}

var placeholder = regexp.MustCompile(`\{[^{}]*\}|\*`)

// NewFolders reads a pattern such as "{site}/{year}/{month}": a part for each
// level, with {site}, {year} or {month} where the name tells it and * for
// anything; what else stands there must stand in the name, in capitals or not.
func NewFolders(pattern string) (*Folders, error) {
	f := &Folders{}
	seen := map[string]bool{}
	for part := range strings.SplitSeq(strings.Trim(pattern, "/"), "/") {
		if part == "" {
			return nil, fmt.Errorf("the pattern %q has an empty level; write * for one that tells nothing", pattern)
		}
		expr, at := "", 0
		for _, m := range placeholder.FindAllStringIndex(part, -1) {
			expr += regexp.QuoteMeta(part[at:m[0]])
			word := strings.Trim(part[m[0]:m[1]], "{}")
			at = m[1]
			if word == "*" {
				expr += `.*`
				continue
			}
			if placeholders[word] == "" {
				return nil, fmt.Errorf("the pattern %q names {%s}; {site}, {year}, {month} and * are known", pattern, word)
			}
			if seen[word] {
				return nil, fmt.Errorf("the pattern %q names {%s} twice", pattern, word)
			}
			seen[word] = true
			expr += placeholders[word]
		}
		level, err := regexp.Compile(`(?i)^` + expr + regexp.QuoteMeta(part[at:]) + `$`)
		if err != nil {
			return nil, fmt.Errorf("the pattern %q cannot be used: %w", pattern, err)
		}
		f.levels = append(f.levels, level)
	}
	switch {
	case len(seen) == 0:
		return nil, fmt.Errorf("the pattern %q tells nothing; use {site}, {year} or {month}", pattern)
	case seen["month"] && !seen["year"]:
		return nil, fmt.Errorf("the pattern %q names {month} without {year}; a month alone tells nothing", pattern)
	}
	return f, nil
}

// NamesSite reports whether the pattern tells the site.
func (f *Folders) NamesSite() bool {
	for _, l := range f.levels {
		if l.SubexpIndex("site") >= 0 {
			return true
		}
	}
	return false
}

// Told is what the names of the folders of a file tell, from the outermost to
// the innermost; those beyond the pattern are not looked at. It reports false
// when they do not fit the pattern.
func (f *Folders) Told(names []string) (archive.Told, bool) {
	var t archive.Told
	if len(names) < len(f.levels) {
		return t, false
	}
	for i, l := range f.levels {
		m := l.FindStringSubmatch(names[i])
		if m == nil {
			return archive.Told{}, false
		}
		for k, word := range l.SubexpNames() {
			switch word {
			case "site":
				t.Site = strings.TrimSpace(m[k])
			case "year":
				t.Year, _ = strconv.Atoi(m[k])
			case "month":
				if t.Month = monthOf(m[k]); t.Month == 0 {
					return archive.Told{}, false
				}
			}
		}
	}
	return t, true
}

// monthOf reads 3, 03, mar or March; 0 when it is none.
func monthOf(s string) int {
	if n, err := strconv.Atoi(s); err == nil {
		if n > 12 {
			return 0
		}
		return n
	}
	for m := time.January; m <= time.December; m++ {
		if name := m.String(); len(s) <= len(name) && strings.EqualFold(s, name[:len(s)]) {
			return int(m)
		}
	}
	return 0
}
