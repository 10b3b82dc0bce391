package archive

import (
	"context"
	"database/sql"
	"errors"
	"maps"
	"slices"

	"tankroll/record"
)

// follow brings what people confirmed up to the pictures that the record stands
// on now. A confirmation froze the places of its fields on the pictures that the
// slip had then; since, it may have been joined with another or taken apart, or
// another picture may show the record too. A place on a picture that it stands on
// no longer is dropped. It gives the entries anew and changes none.
func follow(ctx context.Context, q querier, own sheet, parts []record.Part, list []journalled) ([]journalled, error) {
	now := []sheet{own}
	if len(parts) > 0 {
		now = nil
		for _, p := range parts {
			now = append(now, sheetOf(p.Ref))
		}
	}
	out := slices.Clone(list)
	for i, e := range out {
		about := e.body.About
		if e.body.Shown == nil {
			continue
		}
		var then []sheet
		for _, r := range about.Parts {
			then = append(then, sheetOf(r))
		}
		if len(then) == 0 && len(parts) > 0 {
			one := sheet{page: about.Page}
			err := q.QueryRowContext(ctx, `SELECT id FROM captures WHERE sha256 = ?`, about.Capture).Scan(&one.capture)
			if err != nil && !errors.Is(err, sql.ErrNoRows) {
				return nil, err
			}
			then = []sheet{one}
		}
		out[i].body.Shown = e.body.Shown.moved(func(b record.Box) record.Box {
			if len(then) == 0 {
				return b
			}
			if b.Part >= len(then) {
				return record.Box{}
			}
			if b.Part = slices.Index(now, then[b.Part]); b.Part < 0 {
				return record.Box{}
			}
			return b
		})
	}
	return out, nil
}

func sheetOf(r record.Ref) sheet {
	c, err := number("c", r.Capture)
	if err != nil {
		return sheet{} // a picture that is not kept is no place
	}
	return sheet{c, r.Page}
}

// moved is the snapshot with the places of all fields changed.
func (s *snapshot) moved(to func(record.Box) record.Box) *snapshot {
	out := snapshot{Fields: maps.Clone(s.Fields), Header: s.Header}
	for name, f := range out.Fields {
		if !f.Box.IsZero() {
			f.Box = to(f.Box)
			out.Fields[name] = f
		}
	}
	for _, spec := range headerSpecs() {
		if f := *headerField(&out.Header, spec.Name); f != nil && !f.Box.IsZero() {
			c := *f
			c.Box = to(f.Box)
			*headerField(&out.Header, spec.Name) = &c
		}
	}
	return &out
}
