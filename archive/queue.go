package archive

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"
)

// Queue is the captures that are kept and wait to be read. It lies in the
// archive's database, so that it outlives any process, and several processes may
// take from it. Who takes a job holds a lease; when the holder dies the lease
// runs out and the job can be taken again. A job ends in the transaction that
// saves the capture's readings: a reading is never kept with its job still open,
// nor a job closed without its reading.
type Queue struct{ s *Store }

// Queue is what waits to be read.
func (s *Store) Queue() Queue { return Queue{s} }

// Job is one capture to read.
type Job struct {
	Capture string
	Tries   int // how often it was taken, this time included
}

// enqueue adds a job; one that is there stays as it is.
func enqueue(ctx context.Context, t *sql.Tx, capture int64, run string) error {
	_, err := t.ExecContext(ctx, `INSERT INTO jobs (capture, run) VALUES (?, ?) ON CONFLICT (capture) DO NOTHING`, capture, run)
	return err
}

// Want puts a capture in the queue, when it is not there, and notes that run
// waits for it.
func (q Queue) Want(ctx context.Context, captureID, run string) error {
	return q.change(ctx, "queue "+captureID, captureID, func(t *sql.Tx, c int64) error {
		if err := enqueue(ctx, t, c, run); err != nil {
			return err
		}
		_, err := t.ExecContext(ctx, `UPDATE jobs SET run = ? WHERE capture = ?`, run, c)
		return err
	})
}

// Hurry notes that run waits for a capture, when it is in the queue; it tells
// whether it is.
func (q Queue) Hurry(ctx context.Context, captureID, run string) (waiting bool, err error) {
	err = q.change(ctx, "queue "+captureID, captureID, func(t *sql.Tx, c int64) error {
		r, err := t.ExecContext(ctx, `UPDATE jobs SET run = ? WHERE capture = ?`, run, c)
		if err != nil {
			return err
		}
		n, err := r.RowsAffected()
		waiting = n > 0
		return err
	})
	return waiting, err
}

func (q Queue) change(ctx context.Context, what, captureID string, f func(*sql.Tx, int64) error) error {
	c, err := number("c", captureID)
	if err != nil {
		return fmt.Errorf("archive: %s: %w", what, err)
	}
	if err := q.s.tx(ctx, func(t *sql.Tx) error { return f(t, c) }); err != nil {
		return fmt.Errorf("archive: %s: %w", what, err)
	}
	return nil
}

// Claim gives the next job to holder, for as long as the lease lasts: those
// that run waits for first, the oldest first among them. It reports false when
// all are taken or none is left.
//
// A lease that ends later than one given now would was given by a clock that has
// been set back since; it does not count.
func (q Queue) Claim(ctx context.Context, holder, run string, lease time.Duration) (Job, bool, error) {
	now := q.s.now()
	var c int64
	var j Job
	err := q.s.db.QueryRowContext(ctx, `UPDATE jobs SET holder = ?, until = ?, tries = tries + 1 WHERE capture = (
		SELECT capture FROM jobs WHERE holder = '' OR until < ? OR until > ? ORDER BY run <> ?, capture LIMIT 1)
		RETURNING capture, tries`,
		holder, now.Add(lease).UnixMilli(), now.UnixMilli(), now.Add(maxLease).UnixMilli(), run).Scan(&c, &j.Tries)
	if errors.Is(err, sql.ErrNoRows) {
		return Job{}, false, nil
	}
	if err != nil {
		return Job{}, false, wrap("take a job", err)
	}
	j.Capture = name("c", c)
	return j, true, nil
}

// Take gives a certain job to holder, as Claim does; it reports false when
// another has it or it is not there.
func (q Queue) Take(ctx context.Context, captureID, holder string, lease time.Duration) (ok bool, err error) {
	err = q.change(ctx, "take "+captureID, captureID, func(t *sql.Tx, c int64) error {
		now := q.s.now()
		r, err := t.ExecContext(ctx, `UPDATE jobs SET holder = ?, until = ?, tries = tries + 1
			WHERE capture = ? AND (holder = '' OR until < ? OR until > ?)`,
			holder, now.Add(lease).UnixMilli(), c, now.UnixMilli(), now.Add(maxLease).UnixMilli())
		if err != nil {
			return err
		}
		n, err := r.RowsAffected()
		ok = n > 0
		return err
	})
	return ok, err
}

// maxLease is longer than any lease that is asked for.
const maxLease = 10 * time.Minute

// Renew makes all leases of holder last from now on.
func (q Queue) Renew(ctx context.Context, holder string, lease time.Duration) error {
	_, err := q.s.db.ExecContext(ctx, `UPDATE jobs SET until = ? WHERE holder = ?`, q.s.now().Add(lease).UnixMilli(), holder)
	return wrap("renew leases", err)
}

// Release gives back what holder has taken and not finished, as if it had never
// been taken.
func (q Queue) Release(ctx context.Context, holder string) error {
	_, err := q.s.db.ExecContext(ctx, `UPDATE jobs SET holder = '', until = 0, tries = tries - 1 WHERE holder = ?`, holder)
	return wrap("release jobs", err)
}

// Waits reports whether a capture waits to be read or is being read.
func (q Queue) Waits(ctx context.Context, captureID string) (bool, error) {
	c, err := number("c", captureID)
	if err != nil {
		return false, fmt.Errorf("archive: queue: %w", err)
	}
	var n int
	err = q.s.db.QueryRowContext(ctx, `SELECT count(*) FROM jobs WHERE capture = ?`, c).Scan(&n)
	return n > 0, wrap("queue", err)
}

// Len is how many captures wait or are being read.
func (q Queue) Len(ctx context.Context) (n int, err error) {
	err = q.s.db.QueryRowContext(ctx, `SELECT count(*) FROM jobs`).Scan(&n)
	return n, wrap("queue", err)
}
