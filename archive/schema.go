package archive

import (
	"context"
	"database/sql"
	"fmt"
)

// migrations build the database one step at a time; the database's
// user_version is the number of steps it has seen. Never change a step that was
// released, add one.
//
// History:
//
//	1  captures, readings, records, journal
//	2  slips joined of several pictures
//	3  what waits to be read, what folders tell, what a watched folder held
var migrations = []string{
	`
CREATE TABLE clock (seq INTEGER NOT NULL) STRICT;
INSERT INTO clock VALUES (0);

CREATE TABLE captures (
	id       INTEGER PRIMARY KEY AUTOINCREMENT,
	sha256   TEXT NOT NULL UNIQUE,
	ext      TEXT NOT NULL,
	file     TEXT NOT NULL,
	added_at TEXT NOT NULL,
	site     TEXT NOT NULL,
	size     INTEGER NOT NULL,
	pages    INTEGER NOT NULL DEFAULT 0,
	read     INTEGER NOT NULL DEFAULT 0,
	seq      INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE INDEX captures_seq ON captures (seq);

CREATE TABLE pages (
	capture INTEGER NOT NULL REFERENCES captures (id),
	page    INTEGER NOT NULL,
	error   TEXT NOT NULL,
	ocr     INTEGER NOT NULL,
	grammar INTEGER NOT NULL,
	PRIMARY KEY (capture, page)
) STRICT, WITHOUT ROWID;

CREATE TABLE slips (
	capture INTEGER NOT NULL,
	page    INTEGER NOT NULL,
	slip    INTEGER NOT NULL,
	seen    TEXT NOT NULL, -- record.Slip
	said    TEXT NOT NULL, -- record.Report
	PRIMARY KEY (capture, page, slip),
	FOREIGN KEY (capture, page) REFERENCES pages (capture, page) ON DELETE CASCADE
) STRICT;

CREATE TABLE records (
	id        INTEGER PRIMARY KEY AUTOINCREMENT,
	capture   INTEGER REFERENCES captures (id), -- NULL: entered by hand
	page      INTEGER NOT NULL,
	slip      INTEGER NOT NULL,
	idx       INTEGER NOT NULL,
	place     TEXT NOT NULL, -- turn, corners, paper
	read      TEXT NOT NULL, -- record.Record as read or entered
	header    TEXT NOT NULL, -- record.Header as read or entered
	entry     TEXT NOT NULL DEFAULT '', -- hash of what was entered by hand
	gone      INTEGER NOT NULL DEFAULT 0, -- no longer read from the picture
	-- what follows is folded from the above and the journal
	kind      TEXT NOT NULL,
	site      TEXT NOT NULL,
	site_name TEXT NOT NULL,
	site_sure INTEGER NOT NULL,
	at        TEXT NOT NULL,
	at_field  TEXT NOT NULL,
	fact      TEXT NOT NULL, -- equal for records that tell of the same event
	now       TEXT NOT NULL, -- record.Record with decisions
	now_head  TEXT NOT NULL, -- record.Header with decisions
	confirmed INTEGER NOT NULL,
	rejected  INTEGER NOT NULL,
	note      TEXT NOT NULL,
	seq       INTEGER NOT NULL
) STRICT;
CREATE INDEX records_capture ON records (capture, page, slip, idx);
CREATE INDEX records_seq ON records (seq);
CREATE INDEX records_what ON records (kind, site, at);
CREATE INDEX records_fact ON records (fact) WHERE fact <> '';
CREATE INDEX records_entry ON records (entry) WHERE entry <> '';

CREATE TABLE journal (
	seq     INTEGER PRIMARY KEY,
	at      TEXT NOT NULL,
	action  TEXT NOT NULL,
	subject TEXT NOT NULL, -- c12 or r87
	body    TEXT NOT NULL,
	before  TEXT NOT NULL, -- hash of the entry before
	hash    TEXT NOT NULL
) STRICT;
CREATE INDEX journal_subject ON journal (subject, seq);
CREATE TRIGGER journal_no_update BEFORE UPDATE ON journal
	BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END;
CREATE TRIGGER journal_no_delete BEFORE DELETE ON journal
	BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END;
CREATE TRIGGER captures_no_delete BEFORE DELETE ON captures
	BEGIN SELECT RAISE(ABORT, 'captures are never deleted'); END;
CREATE TRIGGER records_no_delete BEFORE DELETE ON records
	BEGIN SELECT RAISE(ABORT, 'records are never deleted'); END;
`,
	`
ALTER TABLE slips ADD COLUMN joined TEXT NOT NULL DEFAULT ''; -- archive.Links, '' when there are none
`,
	`
ALTER TABLE captures ADD COLUMN told TEXT NOT NULL DEFAULT ''; -- archive.Told, '' when nothing was told

CREATE TABLE jobs ( -- what is kept and waits to be read
	capture INTEGER PRIMARY KEY REFERENCES captures (id),
	run     TEXT NOT NULL DEFAULT '',   -- the import that waits for it
	holder  TEXT NOT NULL DEFAULT '',   -- who is at it
	until   INTEGER NOT NULL DEFAULT 0, -- end of the holder's lease, Unix milliseconds
	tries   INTEGER NOT NULL DEFAULT 0
) STRICT;
INSERT INTO jobs (capture) SELECT id FROM captures WHERE read = 0;

CREATE TABLE watched ( -- files of watched folders that were looked at
	path    TEXT PRIMARY KEY,
	size    INTEGER NOT NULL,
	changed INTEGER NOT NULL, -- the file's time, Unix nanoseconds
	error   TEXT NOT NULL     -- why it was not kept, or ''
) STRICT, WITHOUT ROWID;
`,
}

// migrate brings the database up to this program's version.
func migrate(ctx context.Context, db *sql.DB) error {
	var have int
	if err := db.QueryRowContext(ctx, `PRAGMA user_version`).Scan(&have); err != nil {
		return err
	}
	if have == len(migrations) {
		return nil
	}
	t, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer t.Rollback()
	// Asked again inside the transaction: another process may have been faster.
	if err := t.QueryRowContext(ctx, `PRAGMA user_version`).Scan(&have); err != nil {
		return err
	}
	if have > len(migrations) {
		return fmt.Errorf("%w (format %d, this one knows up to %d): use the newer program, nothing was changed",
			ErrNewer, have, len(migrations))
	}
	for ; have < len(migrations); have++ {
		if _, err := t.ExecContext(ctx, migrations[have]); err != nil {
			return fmt.Errorf("format %d: %w", have+1, err)
		}
		if _, err := t.ExecContext(ctx, fmt.Sprintf(`PRAGMA user_version = %d`, have+1)); err != nil {
			return err
		}
	}
	return t.Commit()
}
