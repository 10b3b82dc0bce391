package index

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"tankroll/archive"
)

// why says what there is instead of an answer, with counts, and the nearest
// questions that have an answer.
func (k *asker) why(maybe []archive.Row) (string, []Step, error) {
	var parts []string
	main, err := k.instead()
	if err != nil {
		return "", nil, err
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
		return "", nil, err
	}
	if len(unread) > 0 {
		parts = append(parts, fmt.Sprintf("%d kept but not read yet", len(unread)))
	}
	steps, err := k.steps()
	return strings.Join(parts, "; "), steps, err
}

// maxSteps bounds the questions that are offered.
const maxSteps = 3

// steps are the questions that ask for one thing less and have an answer; when
// there is none, those that ask for two things less.
func (k *asker) steps() ([]Step, error) {
	var out []Step
	try := func(leave ...int) error {
		q := k.q
		q.Assumed, q.NotUnderstood, q.Readings = nil, nil, nil
		var rest []constraint
		for i, c := range k.list {
			if slices.Contains(leave, i) {
				c.drop(&q)
			} else {
				rest = append(rest, c)
			}
		}
		n, err := count(k.ctx, k.v, all(rest))
		if err == nil && n > 0 && len(out) < maxSteps {
			out = append(out, Step{q.String(), n})
		}
		return err
	}
	from := 0
	if k.q.Kind != "" || k.q.AnyTest {
		from = 1 // another kind is another question
	}
	for i := from; i < len(k.list); i++ {
		if err := try(i); err != nil {
			return nil, err
		}
	}
	for i := from; i < len(k.list) && len(out) == 0; i++ {
		for j := i + 1; j < len(k.list); j++ {
			if err := try(i, j); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}

func (k *asker) instead() (string, error) {
	total, err := count(k.ctx, k.v, is("copy", "no"))
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
		n, err := count(k.ctx, k.v, all(base))
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
		n, err := count(k.ctx, k.v, all(others))
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
	n, err := count(k.ctx, k.v, all(base))
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
		counts, err := facet(k.ctx, k.v, all(others), "result")
		if err != nil {
			return "", err
		}
		var parts []string
		for _, result := range slices.SortedFunc(maps.Keys(counts), func(a, b string) int { return cmp.Or(counts[b]-counts[a], strings.Compare(a, b)) }) {
			if result != "" {
				parts = append(parts, fmt.Sprintf("%d %s", counts[result], result))
			}
		}
		if none := counts[""]; none > 0 {
			parts = append(parts, fmt.Sprintf("%d without a result", none))
		}
		return ": only " + strings.Join(parts, ", "), nil
	}
	if strings.HasPrefix(missing.say, "from ") || strings.HasPrefix(missing.say, "since ") || strings.HasPrefix(missing.say, "until ") {
		list, err := find(k.ctx, k.v, all(others), 1, byTime(true))
		if err != nil {
			return "", err
		}
		rows, err := k.rows(list, others)
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
