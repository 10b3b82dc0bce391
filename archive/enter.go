package archive

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"tankroll/record"
)

const enterAction = "enter"

// Entry is a record that a person typed from paper that could not be read.
type Entry struct {
	Site      string         `json:"site"`
	Kind      record.Kind    `json:"kind"`
	PrintedAt string         `json:"printed_at,omitempty"`
	Fields    map[string]any `json:"fields"` // plain values: texts, and numbers in US units unless the text names one ("22,712 L")
	Note      string         `json:"note,omitempty"`
	By        string         `json:"by,omitempty"`
}

// typed is the journal's account of an entry.
type typed struct {
	Record record.Record `json:"record"`
	Header record.Header `json:"header"`
	By     string        `json:"by,omitempty"`
	Note   string        `json:"note,omitempty"`
}

// Enter keeps a record typed by hand; all its fields have origin entered, and
// its row says ByHand for ever. The very same entry a second time gives the row
// it has, so that a list can be entered again after a crash.
func (s *Store) Enter(ctx context.Context, e Entry) (Row, error) {
	r, h, err := e.values()
	if err != nil {
		return Row{}, fmt.Errorf("archive: enter: %w", err)
	}
	hash, err := e.hash()
	if err != nil {
		return Row{}, fmt.Errorf("archive: enter: %w", err)
	}
	var row Row
	err = s.tx(ctx, func(t *sql.Tx) error {
		var id int64
		err := t.QueryRowContext(ctx, `SELECT id FROM records WHERE entry = ? AND entry <> '' AND rejected = 0`, hash).Scan(&id)
		if err == nil {
			row, err = oneRow(ctx, t, id)
			return err
		}
		if !errors.Is(err, sql.ErrNoRows) {
			return err
		}
		seq, err := tick(ctx, t)
		if err != nil {
			return err
		}
		// The row comes first because the journal names it by its id.
		n := newRecord{record: r, header: h}
		if id, err = putRecord(ctx, t, 0, sql.NullInt64{}, n, hash); err != nil {
			return err
		}
		if _, err := appendJournal(ctx, t, s.now(), enterAction, name("r", id), typed{r, h, e.By, e.Note}); err != nil {
			return err
		}
		if err := regroup(ctx, t, seq, []int64{id}); err != nil {
			return err
		}
		row, err = oneRow(ctx, t, id)
		return err
	})
	if err != nil {
		return Row{}, fmt.Errorf("archive: enter: %w", err)
	}
	return row, nil
}

// values checks every value of the entry against its kind.
func (e Entry) values() (record.Record, record.Header, error) {
	r := record.Record{Kind: e.Kind, Fields: record.Fields{}}
	var h record.Header
	if !slices.Contains(record.Kinds(), e.Kind) {
		return r, h, fmt.Errorf("%w: kind %q must be one of %v", ErrValue, e.Kind, record.Kinds())
	}
	if len(e.Fields) == 0 {
		return r, h, fmt.Errorf("%w: no fields", ErrValue)
	}
	if e.Site == "" {
		return r, h, fmt.Errorf("%w: site is missing, say which site the paper is from", ErrValue)
	}
	site, err := ParseValue(record.FieldSpec{Name: "site", Type: record.Label}, e.Site, "")
	if err != nil {
		return r, h, err
	}
	if SiteField(e.Site) == "site_number" {
		site.Value = SiteKey(e.Site)
		h.SiteNumber = &site
	} else {
		h.Site = &site
	}
	if e.PrintedAt != "" {
		at, err := ParseValue(record.FieldSpec{Name: "printed_at", Type: record.Time}, e.PrintedAt, "")
		if err != nil {
			return r, h, err
		}
		h.PrintedAt = &at
	}
	for name, v := range e.Fields {
		spec, ok := record.Spec(e.Kind, name)
		if !ok {
			return r, h, fmt.Errorf("%w: a %s has no field %q", ErrValue, e.Kind, name)
		}
		f, err := ParseValue(spec, v, "")
		if err != nil {
			return r, h, err
		}
		r.Fields[name] = f
	}
	return r, h, nil
}

func (e Entry) hash() (string, error) {
	raw, err := json.Marshal(e) // map keys come out sorted
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(raw)
	return hex.EncodeToString(sum[:]), nil
}
