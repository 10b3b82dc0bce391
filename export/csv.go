package export

import (
	"bufio"
	"context"
	"encoding/csv"
	"errors"
	"iter"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"tankroll/archive"
	"tankroll/internal/whole"
	"tankroll/record"
)

// CSV fills a new folder with one file a kind of record, such as tank_test.csv,
// and counts the records. The files follow RFC 4180: UTF-8, a line of column
// names, CRLF at the end of lines.
//
// Every field has its value in its own column, <name>_unit beside a quantity, and
// <name>_sure, yes or no. Numbers are plain, times as 2006-01-02T15:04. Text that
// a spreadsheet would take for a formula, because it begins with = + - @ or a
// control character, gets an apostrophe in front, and so does text that begins
// with an apostrophe, so that taking one away gives back what stood there.
func CSV(ctx context.Context, s *archive.Store, dir string, f archive.Filter) (n int, err error) {
	err = whole.Dir(dir, func(temp string) error {
		n, err = tables(ctx, s, temp, s.AllRows(ctx, once(f)))
		return err
	})
	return n, wrap(dir, err)
}

// tables writes a file for each kind that occurs.
func tables(ctx context.Context, s *archive.Store, dir string, rows iter.Seq2[archive.Row, error]) (n int, err error) {
	open := map[record.Kind]*table{}
	defer func() {
		for _, t := range open {
			if e := t.close(); err == nil {
				err = e
			}
		}
	}()
	src := &source{store: s}
	for r, err := range rows {
		if err != nil {
			return n, err
		}
		t := open[r.Record.Kind]
		if t == nil {
			if t, err = newTable(dir, r.Record.Kind); err != nil {
				return n, err
			}
			open[r.Record.Kind] = t
		}
		l, err := src.line(ctx, r)
		if err != nil {
			return n, err
		}
		if err := t.w.Write(t.row(l)); err != nil {
			return n, err
		}
		n++
	}
	return n, nil
}

// table is one CSV file that is being written.
type table struct {
	kind record.Kind
	f    *os.File
	b    *bufio.Writer
	w    *csv.Writer
}

func newTable(dir string, k record.Kind) (*table, error) {
	f, err := os.OpenFile(filepath.Join(dir, string(k)+".csv"), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return nil, err
	}
	t := &table{kind: k, f: f, b: bufio.NewWriterSize(f, 1<<16)}
	t.w = csv.NewWriter(t.b)
	t.w.UseCRLF = true
	return t, t.w.Write(t.head())
}

func (t *table) close() error {
	t.w.Flush()
	return errors.Join(t.w.Error(), t.b.Flush(), t.f.Sync(), t.f.Close())
}

// head names the columns, which row fills in the same order.
func (t *table) head() []string {
	out := []string{"id", "site", "site_name", "site_sure", "when", "when_from", "printed_at", "printed_at_sure"}
	for _, s := range record.Specs(t.kind) {
		out = append(out, s.Name)
		if s.Quantity != record.Plain {
			out = append(out, s.Name+"_unit")
		}
		out = append(out, s.Name+"_sure")
	}
	return append(out, "sure", "doubts", "confirmed", "by_hand", "note", "capture", "file", "page", "slip", "sha256", "one_with", "followed_up")
}

func (t *table) row(l Line) []string {
	out := []string{l.ID, text(l.Site), text(l.SiteName), yesNo(l.SiteSure), l.At, l.AtField}
	if p := l.Header.PrintedAt; p != nil {
		out = append(out, text(p.String()), yesNo(p.Sure))
	} else {
		out = append(out, "", "")
	}
	for _, s := range record.Specs(t.kind) {
		f, ok := l.Record.Fields[s.Name]
		value, unit, sure := "", "", ""
		if ok {
			value, unit, sure = plain(f), f.Unit, yesNo(f.Sure)
		}
		out = append(out, value)
		if s.Quantity != record.Plain {
			out = append(out, unit)
		}
		out = append(out, sure)
	}
	page, slip := "", ""
	if !l.ByHand {
		page, slip = strconv.Itoa(l.Page), strconv.Itoa(l.Slip)
	}
	return append(out, yesNo(l.Sure), text(doubts(l.Record)), yesNo(l.Confirmed), yesNo(l.ByHand), text(l.Note),
		l.Capture, text(l.File), page, slip, l.SHA256, strings.Join(l.OneWith, " "), text(l.Followed))
}

// plain is a field's value: a number as it is, a text guarded.
func plain(f record.Field) string {
	if v, ok := f.Number(); ok {
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	return text(f.String())
}

// text guards against being taken for a formula.
func text(s string) string {
	if s != "" && (strings.ContainsRune("=+-@'", rune(s[0])) || s[0] < ' ') {
		return "'" + s
	}
	return s
}

// doubts are the reasons why a record is not to be trusted as it stands.
func doubts(r record.Record) string {
	var out []string
	for _, d := range r.Doubts {
		if d.Field == "" {
			out = append(out, d.Why)
			continue
		}
		out = append(out, d.Field+": "+d.Why)
	}
	return strings.Join(out, "; ")
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}
