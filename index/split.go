package index

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
)

// split parts the records that an expression chooses by month, by site or by
// tank, line or sensor. It goes over them once, however many groups there are.
func (k *asker) split(e expr, by string) ([]Group, error) {
	s, err := e.set(k.ctx, k.v)
	if err != nil {
		return nil, err
	}
	code, group, err := k.v.grouping(k.ctx, by)
	if err != nil {
		return nil, err
	}
	parted := map[int64][]uint32{}
	eachOf(s, func(nos []uint32) {
		for _, no := range nos {
			if c := code(no); c != 0 {
				parted[c] = append(parted[c], no)
			}
		}
	})
	byKey := map[string]int{}
	var out []Group
	for c, nos := range parted {
		g, ok := group(c)
		if !ok {
			continue
		}
		i, known := byKey[g.key()]
		if !known { // a site may have a name and a number
			i = len(out)
			byKey[g.key()], out = i, append(out, g)
		}
		out[i].nos = append(out[i].nos, nos...)
	}
	slices.SortFunc(out, compareGroups)
	return out, nil
}

// splitMap is split, by the groups' keys.
func (k *asker) splitMap(e expr, by string) (map[string][]uint32, error) {
	list, err := k.split(e, by)
	out := map[string][]uint32{}
	for _, g := range list {
		out[g.key()] = g.nos
	}
	return out, err
}

// grouping tells the group of a record as a number, 0 for none, and what group a
// number stands for.
func (v *snapshot) grouping(ctx context.Context, by string) (code func(no uint32) int64, group func(code int64) (Group, bool), err error) {
	if by == "month" {
		at, err := v.Numbers(ctx, "at")
		return func(no uint32) int64 { return at.Of(no) / (100 * dayStep) },
			func(c int64) (Group, bool) { return Group{Month: fmt.Sprintf("%04d-%02d", c/100, c%100)}, true }, err
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

// key tells a group from the others of an answer.
func (g Group) key() string { return g.Month + "|" + g.Site + "|" + g.Equipment }
