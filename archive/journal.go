package archive

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"
)

// journalEntry is one line of the journal as it lies in the database.
type journalEntry struct {
	Seq           int64
	At            string
	Action        string
	Subject, Body string
	Before, Hash  string
}

// sum is the entry's hash: SHA-256 over its parts as a JSON array, which leaves
// no doubt where one part ends and the next begins.
func (e journalEntry) sum() string {
	raw, err := json.Marshal([]any{e.Seq, e.At, e.Action, e.Subject, e.Body, e.Before})
	if err != nil {
		panic("internal error: journal: " + err.Error()) // numbers and strings always marshal
	}
	h := sha256.Sum256(raw)
	return hex.EncodeToString(h[:])
}

// appendJournal adds an entry and returns its number.
func appendJournal(ctx context.Context, t *sql.Tx, at time.Time, action, subject string, body any) (int64, error) {
	raw, err := json.Marshal(body)
	if err != nil {
		return 0, err
	}
	e := journalEntry{At: stamp(at), Action: action, Subject: subject, Body: string(raw)}
	err = t.QueryRowContext(ctx, `SELECT seq, hash FROM journal ORDER BY seq DESC LIMIT 1`).Scan(&e.Seq, &e.Before)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return 0, err
	}
	e.Seq++
	e.Hash = e.sum()
	_, err = t.ExecContext(ctx, `INSERT INTO journal (seq, at, action, subject, body, before, hash) VALUES (?, ?, ?, ?, ?, ?, ?)`,
		e.Seq, e.At, e.Action, e.Subject, e.Body, e.Before, e.Hash)
	return e.Seq, err
}

// JournalHead is the number and the hash of the newest journal entry. Whoever
// writes it down can later show that no entry up to it was changed or dropped.
func (s *Store) JournalHead(ctx context.Context) (seq int64, hash string, err error) {
	err = s.db.QueryRowContext(ctx, `SELECT seq, hash FROM journal ORDER BY seq DESC LIMIT 1`).Scan(&seq, &hash)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, "", nil
	}
	return seq, hash, wrap("journal", err)
}

// VerifyJournal walks the whole journal and fails with ErrDamaged at the first
// entry that was changed, dropped or put in afterwards.
func (s *Store) VerifyJournal(ctx context.Context) error {
	return walkJournal(ctx, s.db, func(journalEntry) error { return nil })
}

// walkJournal walks the chain and gives every entry that stands in it.
func walkJournal(ctx context.Context, q querier, each func(journalEntry) error) error {
	rows, err := q.QueryContext(ctx, `SELECT seq, at, action, subject, body, before, hash FROM journal ORDER BY seq`)
	if err != nil {
		return wrap("journal", err)
	}
	defer rows.Close()
	var last journalEntry
	for rows.Next() {
		var e journalEntry
		if err := rows.Scan(&e.Seq, &e.At, &e.Action, &e.Subject, &e.Body, &e.Before, &e.Hash); err != nil {
			return wrap("journal", err)
		}
		switch {
		case e.Seq != last.Seq+1:
			return fmt.Errorf("archive: journal is %w: entry %d is followed by %d", ErrDamaged, last.Seq, e.Seq)
		case e.Before != last.Hash:
			return fmt.Errorf("archive: journal is %w: entry %d does not follow entry %d", ErrDamaged, e.Seq, last.Seq)
		case e.Hash != e.sum():
			return fmt.Errorf("archive: journal is %w: entry %d was changed", ErrDamaged, e.Seq)
		}
		if err := each(e); err != nil {
			return err
		}
		last = e
	}
	return wrap("journal", rows.Err())
}

// journal walks the chain, and compares it with a head that was noted earlier,
// beside other checks.
func (c *checker) journal(ctx context.Context) error {
	c.work.Go(func() error { return c.journalNow(ctx) })
	return nil
}

func (c *checker) journalNow(ctx context.Context) error {
	var head Head
	noted := c.o.Head
	err := walkJournal(ctx, c.s.db, func(e journalEntry) error {
		head = Head{e.Seq, e.Hash}
		if noted != nil && noted.Seq == e.Seq && !strings.HasPrefix(e.Hash, noted.Hash) {
			c.found(Problem{"journal", fmt.Errorf("%w: entry %d has the hash %s, not the one noted earlier: it, or one before it, was replaced", ErrDamaged, e.Seq, e.Hash), doRestore})
		}
		return nil
	})
	if err == nil && noted != nil && noted.Seq > head.Seq {
		c.found(Problem{"journal", fmt.Errorf("%w: it ends with entry %d, and %d was noted earlier: the entries behind it are gone", ErrDamaged, head.Seq, noted.Seq), doRestore})
	}
	c.mu.Lock()
	c.sum.Entries, c.sum.Head = head.Seq, head
	c.mu.Unlock()
	return c.judge(ctx, "journal", err)
}
