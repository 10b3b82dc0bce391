package archive

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
)

// Problem is one thing that Check found wrong.
type Problem struct {
	What string // such as c12, r87 or journal
	Err  error
}

func (p Problem) Error() string { return p.What + ": " + p.Err.Error() }

// Check looks at everything the archive holds: each original against its hash,
// the journal's chain, that the journal knows of each capture, and that each
// record shows the sum of its decisions. It reads every original, so it takes
// as long as the disk does. The error is for when it could not look.
func (s *Store) Check(ctx context.Context) ([]Problem, error) {
	var out []Problem
	var state string
	if err := s.db.QueryRowContext(ctx, `PRAGMA integrity_check(1)`).Scan(&state); err != nil {
		return nil, wrap("check", err)
	}
	if state != "ok" {
		out = append(out, Problem{dbName, fmt.Errorf("%w: %s", ErrDamaged, state)})
	}
	if err := s.VerifyJournal(ctx); errors.Is(err, ErrDamaged) {
		out = append(out, Problem{"journal", err})
	} else if err != nil {
		return nil, err
	}
	list, err := s.Captures(ctx)
	if err != nil {
		return nil, err
	}
	for _, c := range list {
		if err := ctx.Err(); err != nil {
			return out, err
		}
		if _, err := s.original(c); err != nil {
			out = append(out, Problem{c.ID, err})
		}
		if err := s.checkKept(ctx, c); err != nil {
			out = append(out, Problem{c.ID, err})
		}
	}
	more, err := s.checkRecords(ctx)
	return append(out, more...), err
}

// checkKept compares a capture with what the journal says came in.
func (s *Store) checkKept(ctx context.Context, c Capture) error {
	var body string
	err := s.db.QueryRowContext(ctx, `SELECT body FROM journal WHERE subject = ? AND action = 'keep'`, c.ID).Scan(&body)
	if err != nil {
		return fmt.Errorf("%w: the journal does not say that it came in: %w", ErrDamaged, err)
	}
	var k kept
	if err := json.Unmarshal([]byte(body), &k); err != nil {
		return fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	if k != c.kept() {
		return fmt.Errorf("%w: the journal tells of another file (%s)", ErrDamaged, k.File)
	}
	return nil
}

// checkRecords folds every record again.
func (s *Store) checkRecords(ctx context.Context) ([]Problem, error) {
	rows, err := selectRows(ctx, s.db, `WHERE r.gone = 0 ORDER BY r.id`)
	if err != nil {
		return nil, err
	}
	var out []Problem
	for _, r := range rows {
		n, err := number("r", r.ID)
		if err != nil {
			return nil, err
		}
		f, _, err := foldedRow(ctx, s.db, n)
		if err != nil {
			return nil, wrap("check "+r.ID, err)
		}
		want, err := json.Marshal(f.record)
		if err != nil {
			return nil, err
		}
		have, err := json.Marshal(r.Record)
		if err != nil {
			return nil, err
		}
		if string(want) != string(have) || f.confirmed != r.Confirmed || f.rejected != r.Rejected {
			out = append(out, Problem{r.ID, fmt.Errorf("%w: it does not show what was read and decided", ErrDamaged)})
		}
		if r.ByHand {
			if err := s.checkTyped(ctx, r.ID, n); err != nil {
				out = append(out, Problem{r.ID, err})
			}
		}
	}
	return out, nil
}

// checkTyped compares a record entered by hand with the journal.
func (s *Store) checkTyped(ctx context.Context, id string, n int64) error {
	var body, read string
	err := s.db.QueryRowContext(ctx, `SELECT j.body, r.read FROM journal j, records r
		WHERE j.subject = ? AND j.action = ? AND r.id = ?`, id, enterAction, n).Scan(&body, &read)
	if err != nil {
		return fmt.Errorf("%w: the journal does not say that it was entered: %w", ErrDamaged, err)
	}
	var e typed
	if err := json.Unmarshal([]byte(body), &e); err != nil {
		return fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	raw, err := json.Marshal(e.Record)
	if err != nil {
		return err
	}
	if string(raw) != read {
		return fmt.Errorf("%w: it is not what the journal says was entered", ErrDamaged)
	}
	return nil
}
