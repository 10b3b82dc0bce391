package archive

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"tankroll/record"
)

// chunk is how many rows are looked at in one read transaction.
const chunk = 200

// pieces hands the ids of a table out in chunks.
func (c *checker) pieces(ctx context.Context, table string, look func(ctx context.Context, t querier, ids []int64) error) error {
	rows, err := c.s.db.QueryContext(ctx, `SELECT id FROM `+table+` ORDER BY id`)
	if err != nil {
		return c.judge(ctx, dbName, err)
	}
	defer rows.Close()
	var ids []int64
	flush := func() {
		if part := ids; len(part) > 0 {
			c.work.Go(func() error {
				err := c.s.reading(ctx, func(t querier) error { return guarded(func() error { return look(ctx, t, part) }) })
				return c.judge(ctx, dbName, err)
			})
		}
		ids = nil
	}
	for rows.Next() {
		var id int64
		if err := rows.Scan(&id); err != nil {
			return c.judge(ctx, dbName, err)
		}
		if ids = append(ids, id); len(ids) == chunk {
			flush()
		}
	}
	flush()
	return c.judge(ctx, dbName, rows.Err())
}

// guarded turns a panic over values that the program never writes into an error.
func guarded(f func() error) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("%w: it holds what this program never writes: %v", ErrDamaged, r)
		}
	}()
	return f()
}

// captures compares captures with what the journal says came in, and with what
// was read from them.
func (c *checker) captures(ctx context.Context) error {
	if err := c.judge(ctx, dbName, c.missing(ctx)); err != nil {
		return err
	}
	return c.pieces(ctx, "captures", func(ctx context.Context, t querier, ids []int64) error {
		for _, id := range ids {
			if err := c.judge(ctx, name("c", id), c.capture(ctx, t, id)); err != nil {
				return err
			}
		}
		c.mu.Lock()
		c.sum.Captures += int64(len(ids))
		c.mu.Unlock()
		return nil
	})
}

// missing looks for journal entries about what is not there.
func (c *checker) missing(ctx context.Context) error {
	lost, err := texts(ctx, c.s.db, `SELECT DISTINCT subject FROM journal WHERE
		subject GLOB 'c[0-9]*' AND NOT EXISTS (SELECT 1 FROM captures WHERE id = CAST(substr(subject, 2) AS INTEGER)) OR
		subject GLOB 'r[0-9]*' AND NOT EXISTS (SELECT 1 FROM records WHERE id = CAST(substr(subject, 2) AS INTEGER))`)
	for _, what := range lost {
		c.found(Problem{what, fmt.Errorf("%w: the journal speaks of it, but it is gone", ErrDamaged), doRestore})
	}
	return err
}

func (c *checker) capture(ctx context.Context, q querier, id int64) error {
	list, err := capturesOf(ctx, q, `id = ?`, id)
	if err != nil || len(list) == 0 {
		return err
	}
	have := list[0]
	if err := checkKept(ctx, q, have); err != nil {
		return err
	}
	if err := checkLinked(ctx, q, id); err != nil {
		return err
	}
	readings, err := pageReadings(ctx, q, id)
	if err != nil {
		return err
	}
	if len(readings) != have.Pages || !have.Read && len(readings) > 0 {
		return fmt.Errorf("%w: it has the readings of %d pages and should have %d", ErrDamaged, len(readings), have.Pages)
	}
	if err := checkReadings(ctx, q, id, readings); err != nil {
		return err
	}
	return c.readAs(ctx, q, id, readings)
}

// checkKept compares a capture with what the journal says came in.
func checkKept(ctx context.Context, q querier, c Capture) error {
	var body string
	err := q.QueryRowContext(ctx, `SELECT body FROM journal WHERE subject = ? AND action = 'keep'`, c.ID).Scan(&body)
	if errors.Is(err, sql.ErrNoRows) {
		return fmt.Errorf("%w: the journal does not say that it came in", ErrDamaged)
	}
	if err != nil {
		return err
	}
	var k kept
	if err := json.Unmarshal([]byte(body), &k); err != nil {
		return err
	}
	if k != c.kept() {
		return fmt.Errorf("%w: the journal tells of another file (%s)", ErrDamaged, k.File)
	}
	return nil
}

// readAs compares the records of a capture with what its readings say: each is
// there once, and what no reading shows any longer is there because a person
// decided about it.
func (c *checker) readAs(ctx context.Context, q querier, id int64, readings []Reading) error {
	want := map[string]int{}
	for _, p := range readings {
		for _, n := range recordsOf(id, p) {
			key, err := n.key()
			if err != nil {
				return err
			}
			want[key]++
		}
	}
	have, err := oldRecords(ctx, q, id)
	if err != nil {
		return err
	}
	for _, o := range have {
		if o.gone {
			continue
		}
		key, err := o.key()
		if err != nil {
			return err
		}
		if want[key] > 0 {
			want[key]--
		} else if !o.decided {
			c.found(Problem{name("r", o.id), fmt.Errorf("%w: it is not what was read from %s", ErrDamaged, name("c", id)), doRestore})
		}
	}
	for key, n := range want {
		if n > 0 {
			where, _, _ := strings.Cut(key, "\x1f")
			return fmt.Errorf("%w: a record that was read on page %s is not there", ErrDamaged, where)
		}
	}
	return nil
}

// key is equal for a record of a reading and its row.
func (n newRecord) key() (string, error) {
	raw, err := json.Marshal([]any{n.place, n.record, n.header})
	return fmt.Sprintf("%d slip %d\x1f%d\x1f%s", n.page, n.slip, n.idx, raw), err
}

// records folds every record again.
func (c *checker) records(ctx context.Context) error {
	return c.pieces(ctx, "records", func(ctx context.Context, t querier, ids []int64) error {
		for _, id := range ids {
			if err := c.judge(ctx, name("r", id), checkRow(ctx, t, id)); err != nil {
				return err
			}
		}
		c.mu.Lock()
		c.sum.Records += int64(len(ids))
		c.mu.Unlock()
		return nil
	})
}

// checkTyped compares a record entered by hand with the journal.
func checkTyped(ctx context.Context, q querier, id string, n int64) error {
	var body, read, head string
	err := q.QueryRowContext(ctx, `SELECT j.body, r.read, r.header FROM journal j, records r
		WHERE j.subject = ? AND j.action = ? AND r.id = ?`, id, enterAction, n).Scan(&body, &read, &head)
	if errors.Is(err, sql.ErrNoRows) {
		return fmt.Errorf("%w: the journal does not say that it was entered", ErrDamaged)
	}
	if err != nil {
		return err
	}
	var e typed
	if err := json.Unmarshal([]byte(body), &e); err != nil {
		return err
	}
	for _, p := range []struct {
		said any
		have string
		into any
	}{{e.Record, read, &record.Record{}}, {e.Header, head, &record.Header{}}} {
		if err := json.Unmarshal([]byte(p.have), p.into); err != nil {
			return err
		}
		a, err := json.Marshal(p.said)
		if err != nil {
			return err
		}
		b, err := json.Marshal(p.into)
		if err != nil {
			return err
		}
		if string(a) != string(b) {
			return fmt.Errorf("%w: it is not what the journal says was entered", ErrDamaged)
		}
	}
	return nil
}
