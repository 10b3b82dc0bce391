package index

import (
	"context"
	"fmt"
	"slices"
)

// Known lists what the records of an index beside an archive have for a filter of
// Search: its sites or products. It takes the index as it lies there, so that it
// answers a shell at once, and opens no archive.
func Known(ctx context.Context, dir, filter string) ([]string, error) {
	field := map[string]string{"site": "site", "product": "grade"}[filter]
	if field == "" {
		return nil, fmt.Errorf("index: no list is kept of %q", filter)
	}
	ix := &Index{dir: dir}
	defer ix.Close()
	g, release, err := ix.hold()
	if err != nil {
		return nil, err
	}
	defer release()
	v, err := g.now(ctx)
	if err != nil {
		return nil, err
	}
	list, err := v.Values(ctx, field)
	return slices.DeleteFunc(slices.Clone(list), func(s string) bool { return s == noGrade }), err
}
