package index

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
	"time"
)

// split parts the records that an expression chooses by month, by site or by
// tank, line or sensor, in order. It goes over them, however many groups there are.
func (k *asker) split(e expr, by string) ([]Group, error) {
	out, err := k.parted(e, by, true)
	slices.SortFunc(out, compareGroups)
	return out, err
}

// groups are those of split without their records.
func (k *asker) groups(e expr, by string) ([]Group, error) {
	out, err := k.parted(e, by, false)
	slices.SortFunc(out, compareGroups)
	return out, err
}

// records are those of split by the groups' keys.
func (k *asker) records(e expr, by string) (map[string][]uint32, error) {
	list, err := k.parted(e, by, true)
	out := make(map[string][]uint32, len(list))
	for _, g := range list {
		out[g.key()] = g.nos
	}
	return out, err
}

// keys are those of the groups that have records.
func (k *asker) keys(e expr, by string) (map[string]bool, error) {
	list, err := k.parted(e, by, false)
	out := make(map[string]bool, len(list))
	for _, g := range list {
		out[g.key()] = true
	}
	return out, err
}

func (k *asker) parted(e expr, by string, records bool) ([]Group, error) {
	s, err := e.set(k.ctx, k.v)
	if err != nil {
		return nil, err
	}
	code, group, err := k.v.grouping(k.ctx, by)
	if err != nil {
		return nil, err
	}
	// Counted first, so that all records go into one list.
	var ends []int // of a code's records in it
	eachOf(s, func(nos []uint32) {
		for _, no := range nos {
			c := int(code(no))
			if c >= len(ends) {
				ends = append(ends, make([]int, c+1-len(ends)+len(ends)/2)...)
			}
			ends[c]++
		}
	})
	if len(ends) > 0 {
		ends[0] = 0 // in no group
	}
	total := 0
	for c, n := range ends {
		ends[c] = total
		total += n
	}
	var all []uint32
	if records {
		all = make([]uint32, total)
		eachOf(s, func(nos []uint32) {
			for _, no := range nos {
				if c := code(no); c != 0 {
					all[ends[c]] = no
					ends[c]++
				}
			}
		})
	}
	byKey := map[string]int{}
	var out []Group
	for c := 1; c < len(ends); c++ {
		from, to := ends[c-1], ends[c] // each has moved to its end
		if !records {
			from, to = ends[c], total
			if c+1 < len(ends) {
				to = ends[c+1]
			}
		}
		if from == to {
			continue
		}
		g, ok := group(int64(c))
		if !ok {
			continue
		}
		i, known := byKey[g.key()]
		if !known { // a site may have a name and a number
			i = len(out)
			byKey[g.key()], out = i, append(out, g)
		}
		if records {
			out[i].nos = joinedTo(out[i].nos, all[from:to:to])
		}
	}
	return out, nil
}

// grouping tells the group of a record as a number, 0 for none, and what group a
// number stands for.
func (v *snapshot) grouping(ctx context.Context, by string) (code func(no uint32) int64, group func(code int64) (Group, bool), err error) {
	if by == "month" {
		at, err := v.Numbers(ctx, "at")
		return func(no uint32) int64 { return at.Of(no) / (100 * dayStep) },
			func(c int64) (Group, bool) { return Group{Month: fmt.Sprintf("%04d-%02d", c/100, c%100)}, true }, err
	}
	if by == "week" {
		at, err := v.Numbers(ctx, "at")
		return func(no uint32) int64 { return weekOf(at.Of(no) / dayStep) },
			func(c int64) (Group, bool) { return Group{Week: mondayOf(c)}, true }, err
	}
	known, err := v.sites(ctx)
	if err != nil {
		return nil, nil, err
	}
	if by == "site" {
		names, err := v.Names(ctx, "number")
		return names.Of, func(c int64) (Group, bool) {
			name := names.Said(c)
			return Group{Site: cmp.Or(known.number[name], name)}, true
		}, err
	}
	names, err := v.Names(ctx, "where")
	return names.Of, func(c int64) (Group, bool) {
		site, equipment, ok := strings.Cut(names.Said(c), "|")
		device, no, numbered := strings.Cut(equipment, " ")
		return Group{Site: cmp.Or(known.number[site], site), Equipment: equipment}, ok && numbered && device == by && no != ""
	}, err
}

// firstMonday is the Monday from which weeks are counted.
var firstMonday = time.Date(1970, 1, 5, 0, 0, 0, 0, time.UTC)

// weekOf is the number of the week of a day such as 20250518, 0 for none.
func weekOf(day int64) int64 {
	if day <= 19700105 {
		return 0
	}
	t := time.Date(int(day/10000), time.Month(day/100%100), int(day%100), 0, 0, 0, 0, time.UTC)
	return int64(t.Sub(firstMonday).Hours())/(24*7) + 1
}

func mondayOf(week int64) string {
	return firstMonday.AddDate(0, 0, int(week-1)*7).Format("2006-01-02")
}

// key tells a group from the others of an answer.
func (g Group) key() string { return g.Month + g.Week + "|" + g.Site + "|" + g.Equipment }

func joinedTo(list, more []uint32) []uint32 {
	if list == nil {
		return more
	}
	return append(list, more...)
}
