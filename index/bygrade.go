package index

import (
	"slices"

	"tankroll/index/query"
)

// byGrade parts the records that meet constraints by product: each product's are those
// that answer when it is asked for, what other slips say of a tank included.
func (k *asker) byGrade(asked []constraint) ([]Group, error) {
	grades, err := k.v.Values(k.ctx, "grade")
	if err != nil {
		return nil, err
	}
	grades = slices.DeleteFunc(slices.Clone(grades), func(g string) bool { return g == noGrade })
	slices.Sort(grades)
	of, err := all(asked).set(k.ctx, k.v)
	if err != nil {
		return nil, err
	}
	var out []Group
	for _, g := range grades {
		c, err := k.gradeConstraint(query.Query{Grade: g, Site: k.q.Site}, asked)
		if err != nil {
			return nil, err
		}
		set, err := c.find.within(k.ctx, k.v, of)
		if err != nil {
			return nil, err
		}
		if !set.IsEmpty() {
			out = append(out, Group{Product: g, nos: set.ToArray()})
		}
	}
	return out, nil
}
