package index

import (
	"fmt"
	"slices"
	"strings"

	"github.com/blevesearch/bleve/v2"

	"tankroll/archive"
)

// why says what there is instead of an answer, with counts.
func (k *asker) why(maybe []archive.Row) (string, error) {
	var parts []string
	main, err := k.instead()
	if err != nil {
		return "", err
	}
	parts = append(parts, main)
	if len(maybe) > 0 {
		names := []string{}
		for _, r := range maybe {
			names = append(names, r.ID)
		}
		parts = append(parts, "only doubtful ones may answer: "+strings.Join(names, ", "))
	}
	unread, err := k.ix.src.Unread(k.ctx)
	if err != nil {
		return "", err
	}
	if len(unread) > 0 {
		parts = append(parts, fmt.Sprintf("%d kept but not read yet", len(unread)))
	}
	return strings.Join(parts, "; "), nil
}

func (k *asker) instead() (string, error) {
	total, err := count(k.ctx, k.b, keyIs("copy", "no"))
	if err != nil {
		return "", err
	}
	if total == 0 {
		return "the archive holds no records", nil
	}
	first, rest := "records", k.list
	var base []constraint
	if k.q.Kind != "" || k.q.AnyTest {
		first, base, rest = k.list[0].say, k.list[:1], k.list[1:]
		n, err := count(k.ctx, k.b, all(base))
		if err != nil {
			return "", err
		}
		if n == 0 {
			return fmt.Sprintf("the archive holds no %s at all", first), nil
		}
	}
	// Give up one thing after the other, the result first.
	for i, c := range rest {
		others := slices.Concat(base, rest[:i], rest[i+1:])
		n, err := count(k.ctx, k.b, all(others))
		if err != nil {
			return "", err
		}
		if n == 0 {
			continue
		}
		said := []string{}
		for _, o := range others[len(base):] {
			said = append(said, o.say)
		}
		text := strings.TrimSpace(fmt.Sprintf("%s %s", counted(n, first), strings.Join(said, ", ")))
		detail, err := k.spread(others, c)
		if err != nil {
			return "", err
		}
		return fmt.Sprintf("%s, but none %s%s", text, c.say, detail), nil
	}
	n, err := count(k.ctx, k.b, all(base))
	if err != nil {
		return "", err
	}
	return fmt.Sprintf("%s, but none that meets two of: %s", counted(n, first), strings.Join(says(rest), ", ")), nil
}

// counted is a number of things whose plural is given.
func counted(n int, many string) string {
	one := strings.TrimSuffix(many, "s")
	if strings.HasSuffix(many, "ies") {
		one = strings.TrimSuffix(many, "ies") + "y"
	}
	if n == 1 {
		many = one
	}
	return fmt.Sprintf("%d %s", n, many)
}

func says(list []constraint) []string {
	var out []string
	for _, c := range list {
		out = append(out, c.say)
	}
	return out
}

// spread tells what results there are where the one asked for is missing, or
// when the newest was where the dates exclude all.
func (k *asker) spread(others []constraint, missing constraint) (string, error) {
	if strings.HasPrefix(missing.say, "with result ") || missing.say == "not passing" {
		req := bleve.NewSearchRequestOptions(all(others), 0, 0, false)
		req.AddFacet("result", bleve.NewFacetRequest("result", 10))
		res, err := k.b.SearchInContext(k.ctx, req)
		if err != nil {
			return "", fmt.Errorf("%w: %w", errUnfit, err)
		}
		var parts []string
		if f := res.Facets["result"]; f != nil && f.Terms != nil {
			none := 0
			for _, t := range f.Terms.Terms() {
				if t.Term == "" {
					none = t.Count
					continue
				}
				parts = append(parts, fmt.Sprintf("%d %s", t.Count, t.Term))
			}
			if none > 0 {
				parts = append(parts, fmt.Sprintf("%d without a result", none))
			}
		}
		return ": only " + strings.Join(parts, ", "), nil
	}
	if strings.HasPrefix(missing.say, "from ") || strings.HasPrefix(missing.say, "since ") || strings.HasPrefix(missing.say, "until ") {
		res, err := search(k.ctx, k.b, all(others), 1, byTime(true))
		if err != nil || len(res.Hits) == 0 {
			return "", err
		}
		rows, err := k.rows(ids(res), others)
		if err != nil || len(rows) == 0 {
			return "", err
		}
		if rows[0].At == "" {
			return ": no date could be read", nil
		}
		return fmt.Sprintf(": the newest is %s, of %s", rows[0].ID, rows[0].At), nil
	}
	return "", nil
}
