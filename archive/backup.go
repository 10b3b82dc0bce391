package archive

import (
	"archive/zip"
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"time"

	"github.com/mattn/go-sqlite3"

	"tankroll/internal/whole"
)

// A backup is a ZIP in which nothing is compressed, so that any program can take
// it apart: the database as it stood at one moment, the original of each of its
// captures, a note of what it is, and at its end the SHA-256 of each, in the form
// that sha256sum -c reads.
const (
	backupReadme = "README.txt"
	backupNote   = "backup.json"
	backupSums   = "SHA256SUMS"
)

const backupText = `This is a backup of an archive of printouts that tankroll wrote.

To have it back, all of it checked:   tankroll restore THIS-FILE --archive NEW-FOLDER

Without tankroll: unpack it like any ZIP. The pictures lie under originals, each
named by its SHA-256. tankroll.db is an SQLite database of what was read and
decided. "sha256sum -c SHA256SUMS" in the folder checks every file.
`

// BackupOptions say how Backup works; the zero options work.
type BackupOptions struct {
	Force    bool                    // replace a file that is there
	Damaged  bool                    // back up what is whole when the archive is damaged
	Found    func(Problem)           // called with what is wrong with the archive
	Progress func(done, total int64) // called now and then: bytes written

	writer func(io.Writer) io.Writer // for tests: a disk that fails
}

// BackupNote says what is in a backup.
type BackupNote struct {
	Program  string    `json:"program"`
	Format   int       `json:"format"` // of the database
	MadeAt   time.Time `json:"made_at"`
	Captures int64     `json:"captures"`
	Records  int64     `json:"records"`
	Bytes    int64     `json:"original_bytes"`
	Head     string    `json:"journal_head,omitempty"` // number:hash
	LeftOut  []string  `json:"left_out,omitempty"`     // captures whose original was missing or damaged
	Damaged  bool      `json:"damaged,omitempty"`      // the archive was, when the backup was made
}

// Backup writes an archive into one file. The archive is checked on the way as
// Verify does, and a damaged one is refused unless asked for; the file is read
// again before it gets its name. Others may write to the archive meanwhile: the
// backup holds what was there at one moment, and the original of every capture
// in it.
//
// Beside the file it needs room for the database once more, in a folder that is
// removed again whatever happens.
func Backup(ctx context.Context, dir, file string, o BackupOptions) (note BackupNote, err error) {
	defer func() {
		if err != nil && ctx.Err() == nil {
			err = fmt.Errorf("backup %s: %w", file, describe(err))
		}
	}()
	s, err := OpenReadOnly(ctx, dir)
	if err != nil {
		return note, err
	}
	defer s.Close()
	if err := outside(s.dir, file); err != nil {
		return note, err
	}
	err = whole.File(file, o.Force, func(part string) error {
		b := &backup{from: s, o: o, sums: &bytes.Buffer{}}
		defer func() { note = b.note }()
		if err := b.snapshot(ctx, filepath.Dir(part)); err != nil {
			return err
		}
		defer b.at.Close()
		if err := b.write(ctx, part); err != nil {
			return err
		}
		if _, err := checkBackup(ctx, part, nil); err != nil {
			return fmt.Errorf("what was written does not read back, the disk may be failing: %w", err)
		}
		return nil
	})
	return note, err
}

// outside refuses a file inside the archive.
func outside(dir, file string) error {
	to, err := filepath.Abs(file)
	if err != nil {
		return err
	}
	if r, err := filepath.Rel(dir, to); err == nil && r != ".." && !strings.HasPrefix(r, ".."+string(filepath.Separator)) {
		return errors.New("it lies inside the archive; choose a place outside, best on another disk")
	}
	return nil
}

// backup is one that is being written.
type backup struct {
	from *Store
	at   *Store // the archive at one moment
	o    BackupOptions
	note BackupNote
	sums *bytes.Buffer
	done int64
}

// snapshot copies the database page by page, as it is at one moment; damage is
// copied too, and noticed. (VACUUM INTO would give a flipped bit a new seal.)
func (b *backup) snapshot(ctx context.Context, temp string) error {
	path := filepath.Join(temp, dbName)
	if err := copyDB(ctx, b.from.db, path); err != nil {
		return err
	}
	b.at = &Store{dir: temp, disk: osDisk{}, now: time.Now}
	if err := b.at.openReadOnly(ctx, true); err != nil {
		return err
	}
	c := newChecker(b.at, VerifyOptions{Found: b.o.Found})
	if err := c.run(ctx, c.database, c.journal, c.captures, c.records); err != nil {
		return err
	}
	b.note = BackupNote{Program: "tankroll", Format: len(migrations), MadeAt: time.Now().UTC().Truncate(time.Second),
		Captures: c.sum.Captures, Records: c.sum.Records, Damaged: c.sum.Problems > 0}
	if h := c.sum.Head; h.Seq > 0 {
		b.note.Head = fmt.Sprintf("%d:%s", h.Seq, h.Hash)
	}
	if b.note.Damaged && !b.o.Damaged {
		return errRefuseDamaged
	}
	return b.at.db.QueryRowContext(ctx, `SELECT coalesce(sum(size), 0) FROM captures`).Scan(&b.note.Bytes)
}

var errRefuseDamaged = fmt.Errorf("the archive is %w, run tankroll verify; --damaged backs up what is whole", ErrDamaged)

// copyDB makes a copy of a database as it stands at one moment.
func copyDB(ctx context.Context, from *sql.DB, path string) error {
	to := sql.OpenDB(connector{fileQuery(path).String()})
	defer to.Close()
	to.SetMaxOpenConns(1)
	dst, err := to.Conn(ctx)
	if err != nil {
		return err
	}
	defer dst.Close()
	src, err := from.Conn(ctx)
	if err != nil {
		return err
	}
	defer src.Close()
	return copyPages(dst, src)
}

// copyPages puts the pages of one database in place of another's, in one
// transaction of that.
func copyPages(dst, src *sql.Conn) error {
	return dst.Raw(func(d any) error {
		return src.Raw(func(s any) error {
			b, err := d.(*sqlite3.SQLiteConn).Backup("main", s.(*sqlite3.SQLiteConn), "main")
			if err != nil {
				return err
			}
			// All in one step: between steps a writer would make it begin again.
			done, err := b.Step(-1)
			for wait := time.Now().Add(busyTimeout); !done && err == nil && time.Now().Before(wait); done, err = b.Step(-1) {
				time.Sleep(20 * time.Millisecond)
			}
			if end := b.Finish(); err == nil { // which says when it was busy to the end
				err = end
			}
			return err
		})
	})
}

// write writes the ZIP and syncs it.
func (b *backup) write(ctx context.Context, part string) (err error) {
	f, err := os.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	var w io.Writer = f
	if b.o.writer != nil {
		w = b.o.writer(f)
	}
	buffer := bufio.NewWriterSize(w, 1<<20)
	z := zip.NewWriter(buffer)
	if err := b.entry(ctx, z, backupReadme, strings.NewReader(backupText)); err != nil {
		return err
	}
	if err := b.file(ctx, z, dbName, filepath.Join(b.at.dir, dbName), ""); err != nil {
		return err
	}
	for c, err := range b.at.AllCaptures(ctx) {
		if err != nil {
			return err
		}
		if err := b.original(ctx, z, c); err != nil {
			return err
		}
	}
	b.note.Damaged = b.note.Damaged || len(b.note.LeftOut) > 0
	raw, err := json.MarshalIndent(b.note, "", "  ")
	if err != nil {
		return err
	}
	if err := b.entry(ctx, z, backupNote, bytes.NewReader(append(raw, '\n'))); err != nil {
		return err
	}
	if err := b.entry(ctx, z, backupSums, bytes.NewReader(bytes.Clone(b.sums.Bytes()))); err != nil {
		return err
	}
	if err := z.Close(); err != nil {
		return err
	}
	if err := buffer.Flush(); err != nil {
		return err
	}
	return f.Sync()
}

// original writes the original of a capture.
func (b *backup) original(ctx context.Context, z *zip.Writer, c Capture) error {
	path := b.from.OriginalPath(c)
	if b.o.Damaged { // looked at first, so that a damaged one is not in the file
		if err := wholeFile(path, c.SHA256); err != nil {
			b.note.LeftOut = append(b.note.LeftOut, c.ID)
			if b.o.Found != nil {
				b.o.Found(Problem{c.ID, fmt.Errorf("its original (%s) is left out: %w", c.File, err), doAddAgain})
			}
			return nil
		}
	}
	if err := b.file(ctx, z, originalName(c), path, c.SHA256); err != nil {
		return fmt.Errorf("original of %s (%s): %w", c.ID, c.File, err)
	}
	return nil
}

// originalName is the name of an original in a backup.
func originalName(c Capture) string {
	return path.Join("originals", c.SHA256[:2], c.SHA256+"."+c.ext)
}

// file writes a file, which must have the hash given, if any.
func (b *backup) file(ctx context.Context, z *zip.Writer, name, from, want string) error {
	f, err := os.Open(from)
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%w: %w", errRefuseDamaged, err)
	}
	if err != nil {
		return err
	}
	defer f.Close()
	h := sha256.New()
	if err := b.entry(ctx, z, name, io.TeeReader(f, h)); err != nil {
		return err
	}
	if want != "" && hex.EncodeToString(h.Sum(nil)) != want {
		return errRefuseDamaged
	}
	return nil
}

// entry writes one entry and notes its hash.
func (b *backup) entry(ctx context.Context, z *zip.Writer, name string, r io.Reader) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	w, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Store, Modified: b.note.MadeAt})
	if err != nil {
		return err
	}
	h := sha256.New()
	n, err := io.Copy(io.MultiWriter(w, h), r)
	fmt.Fprintf(b.sums, "%x  %s\n", h.Sum(nil), name)
	b.done += n
	if b.o.Progress != nil {
		b.o.Progress(min(b.done, b.note.Bytes), b.note.Bytes)
	}
	return err
}

// wholeFile fails when a file does not have the hash.
func wholeFile(path, want string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return err
	}
	if hex.EncodeToString(h.Sum(nil)) != want {
		return ErrDamaged
	}
	return nil
}
