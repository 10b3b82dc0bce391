package archive

import (
	"context"
	"database/sql"
	"errors"
	"slices"

	"tankroll/record"
)

// stand is where a record's slip begins.
type stand sheet

// follow brings what people confirmed up to the parts that the record's slip has
// now. A confirmation froze the places of its fields on the pictures that the
// slip had then; since, it may have been joined with another or taken apart. A
// place on a picture that the slip has no longer is dropped.
func (s stand) follow(ctx context.Context, q querier, parts []record.Part, list []journalled) error {
	now := []sheet{sheet(s)}
	if len(parts) > 0 {
		now = nil
		for _, p := range parts {
			now = append(now, sheetOf(p.Ref))
		}
	}
	for _, e := range list {
		about := e.body.About
		if e.body.Shown == nil || len(parts) == 0 && len(about.Parts) == 0 {
			continue
		}
		var then []sheet
		for _, r := range about.Parts {
			then = append(then, sheetOf(r))
		}
		if len(then) == 0 {
			one := sheet{page: about.Page}
			err := q.QueryRowContext(ctx, `SELECT id FROM captures WHERE sha256 = ?`, about.Capture).Scan(&one.capture)
			if err != nil && !errors.Is(err, sql.ErrNoRows) {
				return err
			}
			then = []sheet{one}
		}
		e.body.Shown.move(func(b record.Box) record.Box {
			if b.Part >= len(then) {
				return record.Box{}
			}
			if b.Part = slices.Index(now, then[b.Part]); b.Part < 0 {
				return record.Box{}
			}
			return b
		})
	}
	return nil
}

func sheetOf(r record.Ref) sheet {
	c, err := number("c", r.Capture)
	if err != nil {
		return sheet{} // a picture that is not kept is no place
	}
	return sheet{c, r.Page}
}

// move changes the places of all fields.
func (s *snapshot) move(to func(record.Box) record.Box) {
	for name, f := range s.Fields {
		if !f.Box.IsZero() {
			f.Box = to(f.Box)
			s.Fields[name] = f
		}
	}
	for _, spec := range headerSpecs() {
		if f := *headerField(&s.Header, spec.Name); f != nil && !f.Box.IsZero() {
			f.Box = to(f.Box)
		}
	}
}
