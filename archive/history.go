package archive

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"time"
)

// journalled is a journal entry about a record, read.
type journalled struct {
	seq    int64
	at     time.Time
	action string
	body   decided
	undone bool
}

// decisions reads the journal's entries about a record, oldest first.
func decisions(ctx context.Context, q querier, id string) ([]journalled, error) {
	rows, err := q.QueryContext(ctx, `SELECT seq, at, action, body FROM journal WHERE subject = ? ORDER BY seq`, id)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []journalled
	where := map[int64]int{}
	for rows.Next() {
		var e journalled
		var at, body string
		if err := rows.Scan(&e.seq, &at, &e.action, &body); err != nil {
			return nil, err
		}
		if e.at, err = time.Parse(time.RFC3339Nano, at); err != nil {
			return nil, err
		}
		if err := json.Unmarshal([]byte(body), &e.body); err != nil {
			return nil, err
		}
		if e.action == Correct && e.body.Value == nil && !e.body.Absent {
			return nil, fmt.Errorf("journal entry %d is %w: it corrects %q to nothing", e.seq, ErrDamaged, e.body.Field)
		}
		where[e.seq] = len(out)
		out = append(out, e)
		if i, ok := where[e.body.Undoes]; ok && e.action == Undo {
			out[i].undone = true
		}
	}
	return out, rows.Err()
}

// History lists what people decided about a record, on whichever of its pictures,
// oldest first.
func (s *Store) History(ctx context.Context, recordID string) ([]Decision, error) {
	row, err := s.Record(ctx, recordID)
	if err != nil {
		return nil, err
	}
	var out []Decision
	ids := append([]string{row.ID}, row.With...)
	for i, id := range ids {
		list, err := decisions(ctx, s.db, id)
		if err != nil {
			return nil, wrap("history of "+recordID, err)
		}
		for _, e := range list {
			if slices.Contains(ids[:i], e.body.Other) {
				continue // stands with the other record as well
			}
			out = append(out, e.decision(id))
		}
	}
	slices.SortFunc(out, func(a, b Decision) int { return cmp.Compare(a.Entry, b.Entry) })
	return out, nil
}

func (e journalled) decision(id string) Decision {
	d := Decision{Record: id, Action: e.action, Other: e.body.Other, Field: e.body.Field, By: e.body.By, Note: e.body.Note, At: e.at,
		Entry: e.seq, Undone: e.undone, Was: e.body.Was}
	if e.body.Value != nil {
		d.Value = e.body.Value.Text
	}
	return d
}
