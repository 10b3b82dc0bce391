package archive

// migrations build the database one step at a time; the database's
// user_version is the number of steps it has seen. Never change a step that was
// released, add one.
//
// History:
//
//	1  captures, readings, records, journal
//	2  slips joined of several pictures
//	3  what earlier readings said, records that two pictures show, sites linked later
//	4  a seal for every row
//	5  what waits to be read, what folders tell, what a watched folder held
//	6  pages read of files that are not read to their end; twins of records from before format 3
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
CREATE TABLE readings ( -- each time that a page was read
	id      INTEGER PRIMARY KEY AUTOINCREMENT,
	capture INTEGER NOT NULL REFERENCES captures (id),
	page    INTEGER NOT NULL,
	at      TEXT NOT NULL, -- '' when it was not noted, before format 3
	ocr     INTEGER NOT NULL,
	grammar INTEGER NOT NULL,
	slips   INTEGER NOT NULL,
	records INTEGER NOT NULL,
	error   TEXT NOT NULL
) STRICT;
CREATE INDEX readings_page ON readings (capture, page);
ALTER TABLE pages ADD COLUMN reading INTEGER NOT NULL DEFAULT 0; -- the one that stands
INSERT INTO readings (capture, page, at, ocr, grammar, slips, records, error)
	SELECT capture, page, '', ocr, grammar,
		(SELECT count(*) FROM slips s WHERE s.capture = p.capture AND s.page = p.page),
		(SELECT count(*) FROM records r WHERE r.capture = p.capture AND r.page = p.page AND r.gone = 0), error FROM pages p;
UPDATE pages SET reading = (SELECT id FROM readings r WHERE r.capture = pages.capture AND r.page = pages.page);

ALTER TABLE records ADD COLUMN reading INTEGER NOT NULL DEFAULT 0; -- that read and header are from, or that shows the record no longer
ALTER TABLE records ADD COLUMN unseen INTEGER NOT NULL DEFAULT 0; -- that reading shows the record no longer
UPDATE records SET unseen = gone,
	reading = coalesce((SELECT reading FROM pages p WHERE p.capture = records.capture AND p.page = records.page), 0);
CREATE TABLE superseded ( -- what an earlier reading said of a record
	id      INTEGER PRIMARY KEY AUTOINCREMENT,
	record  INTEGER NOT NULL REFERENCES records (id),
	reading INTEGER NOT NULL,
	unseen  INTEGER NOT NULL, -- it did not show the record
	was     TEXT NOT NULL     -- archive.differing: where it differs from what came next; '' nowhere
) STRICT;
CREATE INDEX superseded_record ON superseded (record);
CREATE TRIGGER readings_no_delete BEFORE DELETE ON readings
	BEGIN SELECT RAISE(ABORT, 'readings are never deleted'); END;
CREATE TRIGGER superseded_no_delete BEFORE DELETE ON superseded
	BEGIN SELECT RAISE(ABORT, 'earlier readings are never deleted'); END;

ALTER TABLE captures ADD COLUMN linked TEXT NOT NULL DEFAULT ''; -- site that a person linked it to later, folded from the journal
ALTER TABLE records ADD COLUMN followed TEXT NOT NULL DEFAULT ''; -- newest follow-up, folded from the journal
ALTER TABLE records ADD COLUMN one INTEGER NOT NULL DEFAULT 0; -- the oldest record that it is one with, when another picture shows it too; 0 when none does
ALTER TABLE records ADD COLUMN pictures TEXT NOT NULL DEFAULT ''; -- parts of all pictures of a record that several show
ALTER TABLE records ADD COLUMN twin TEXT NOT NULL DEFAULT ''; -- equal for records that can be one without asking; '' when something is in doubt
CREATE INDEX records_twin ON records (twin) WHERE twin <> '';
CREATE INDEX records_one ON records (one) WHERE one <> 0;
CREATE INDEX records_when ON records (kind, at);
CREATE TABLE pairs ( -- records of which the journal speaks together
	a INTEGER NOT NULL REFERENCES records (id),
	b INTEGER NOT NULL REFERENCES records (id),
	PRIMARY KEY (a, b)
) STRICT, WITHOUT ROWID;
`,
	// The seals themselves are made after every step, see sealTables. From here
	// on the counts of ids have no gaps, so that a changed one is noticed; older
	// ones could, where two processes kept the same bytes at once.
	`
UPDATE sqlite_sequence SET seq = (SELECT coalesce(max(id), 0) FROM captures) WHERE name = 'captures';
UPDATE sqlite_sequence SET seq = (SELECT coalesce(max(id), 0) FROM records) WHERE name = 'records';
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
	`
CREATE TABLE begun ( -- pages that were read of a capture while others of it wait
	capture INTEGER NOT NULL REFERENCES captures (id),
	page    INTEGER NOT NULL,
	pages   INTEGER NOT NULL, -- how many it has
	reading TEXT NOT NULL,    -- archive.begunPage
	PRIMARY KEY (capture, page)
) STRICT, WITHOUT ROWID;
`,
}
