package archive

import (
	"context"
	"database/sql"
	"fmt"
)

// decidePair notes that two records are one, or are not. Each record's own
// journal tells of it.
func decidePair(ctx context.Context, t *sql.Tx, seq, n int64, d Decision) error {
	k, err := number("r", d.Other)
	if err != nil {
		return err
	}
	a, err := oneRow(ctx, t, n)
	if err != nil {
		return err
	}
	b, err := oneRow(ctx, t, k)
	if err != nil {
		return err
	}
	switch {
	case n == k:
		return fmt.Errorf("%w: name two records", ErrValue)
	case d.Field != "" || d.Value != "":
		return fmt.Errorf("%w: whole records are the same or differ, not fields of them", ErrValue)
	case d.Action == Differ:
	case a.Record.Kind != b.Record.Kind:
		return fmt.Errorf("%w: %s is a %s and %s a %s, which cannot be one", ErrValue, a.ID, a.Record.Kind, b.ID, b.Record.Kind)
	case a.ByHand || b.ByHand:
		return fmt.Errorf("%w: a record that was entered by hand has no picture and stays one of its own; reject the one that is too many", ErrValue)
	case onePicture(a, b):
		return fmt.Errorf("%w: %s and %s stand on the same slip; reject the one that is too many", ErrValue, a.ID, b.ID)
	}
	for _, pair := range []struct {
		row   Row
		other string
	}{{a, b.ID}, {b, a.ID}} {
		body := decided{Other: pair.other, By: d.By, Note: d.Note}
		if body.About, err = aboutRow(ctx, t, pair.row); err != nil {
			return err
		}
		if _, err := appendJournal(ctx, t, d.At, d.Action, pair.row.ID, body); err != nil {
			return err
		}
	}
	if _, err := t.ExecContext(ctx, `UPDATE records SET gone = 0 WHERE id IN (?, ?)`, n, k); err != nil {
		return err
	}
	if err := pair(ctx, t, n, k); err != nil {
		return err
	}
	return regroup(ctx, t, seq, []int64{n, k})
}
