package archive

import (
	"bufio"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// The write-ahead log holds what was committed last. SQLite takes a frame whose
// checksum is wrong for the log's end, so that one flipped bit drops every later
// commit in silence. Verify therefore walks on: frames of the same log that end a
// commit behind a damaged one were committed, or were being written when the
// power went.

const (
	walHeader      = 32
	walFrameHeader = 24
)

// errLost says that commits stand behind a damaged frame.
var errLost = errors.New("commits behind a damaged frame")

func (c *checker) writeAheadLog(ctx context.Context, page int64) error {
	if page == 1 {
		page = 65536
	}
	path := filepath.Join(c.s.dir, dbName+"-wal")
	var err error
	for range 3 { // another process may be writing just now
		if err = checkLog(path, page); !errors.Is(err, errLost) {
			break
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(50 * time.Millisecond):
		}
	}
	if errors.Is(err, errLost) {
		c.found(Problem{dbName + "-wal", fmt.Errorf("%w: %w", ErrDamaged, err), "what was written last may be missing: compare with a backup; a power cut leaves the same, and then nothing that was acknowledged is missing"})
		return nil
	}
	return err
}

func checkLog(path string, page int64) error {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	defer f.Close()
	in := bufio.NewReaderSize(f, 1<<20)
	head := make([]byte, walHeader)
	if _, err := io.ReadFull(in, head); err != nil {
		return nil // no log yet
	}
	sums := logSum{order: binary.LittleEndian}
	if head[3]&1 == 1 {
		sums.order = binary.BigEndian
	}
	sums.add(head[:24])
	whole := sums.is(head[24:])
	frame := make([]byte, walFrameHeader+page)
	damaged := 0
	for n := 1; ; n++ {
		if _, err := io.ReadFull(in, frame); err != nil {
			return nil
		}
		same := string(frame[8:16]) == string(head[16:24]) // salts: older logs lie behind this one
		if whole && same {
			sums.add(frame[:8])
			sums.add(frame[walFrameHeader:])
			if sums.is(frame[16:24]) {
				continue
			}
		}
		if whole {
			whole, damaged = false, n
		}
		commits := binary.BigEndian.Uint32(frame[4:]) != 0
		if same && commits && n > damaged {
			return fmt.Errorf("%w: frame %d of the log is damaged, and a commit stands behind it", errLost, damaged)
		}
	}
}

// logSum is the checksum of SQLite's log.
type logSum struct {
	order binary.ByteOrder
	a, b  uint32
}

func (s *logSum) add(raw []byte) {
	for ; len(raw) >= 8; raw = raw[8:] {
		s.a += s.order.Uint32(raw) + s.b
		s.b += s.order.Uint32(raw[4:]) + s.a
	}
}

func (s *logSum) is(raw []byte) bool {
	return binary.BigEndian.Uint32(raw) == s.a && binary.BigEndian.Uint32(raw[4:]) == s.b
}
