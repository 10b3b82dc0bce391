package archive

import (
	"cmp"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"tankroll/record"
)

// The verdicts of people about words of a site's own.
const (
	AcceptWord  = "accept"  // slips of the site are read with it
	RefuseWord  = "refuse"  // it is not proposed again
	RemoveWord  = "remove"  // slips are no longer read with it; it may be proposed again
	PromoteWord = "promote" // slips of every site are read with it
)

// Word is a spelling that a site prints, what it stands for in the vocabulary of
// the grammar, and what a person decided about it. Nothing is edited: a later
// decision about the same word stands above an earlier one.
type Word struct {
	Site     string    `json:"site"` // as SiteKey has it
	Sense    string    `json:"sense"`
	Code     string    `json:"code"`
	Spelling string    `json:"spelling"`
	Verdict  string    `json:"verdict"`
	From     string    `json:"from,omitempty"` // the record whose decision proposed it
	By       string    `json:"by,omitempty"`
	Note     string    `json:"note,omitempty"`
	At       time.Time `json:"-"` // zero for now
	Entry    int64     `json:"-"` // number of the journal entry; set by Words
}

// ID is a short name of the word, the same in every list.
func (w Word) ID() string {
	sum := sha256.Sum256([]byte(strings.Join([]string{w.Site, w.Sense, w.Code, w.Spelling}, "\x00")))
	return "w" + hex.EncodeToString(sum[:4])
}

// Same reports whether two are the same word of the same site.
func (w Word) Same(o Word) bool {
	return w.Site == o.Site && w.Sense == o.Sense && w.Code == o.Code && w.Spelling == o.Spelling
}

// The action and the subject of journal entries about words.
const (
	wordAction  = "word"
	wordSubject = "words"
)

// DecideWord notes what a person decided about a word.
func (s *Store) DecideWord(ctx context.Context, w Word) error {
	w.Site = SiteKey(w.Site)
	switch {
	case !slices.Contains([]string{AcceptWord, RefuseWord, RemoveWord, PromoteWord}, w.Verdict):
		return fmt.Errorf("archive: word %q: %w: verdict %q must be accept, refuse, remove or promote", w.Spelling, ErrValue, w.Verdict)
	case w.Site == "" || w.Sense == "" || w.Code == "" || w.Spelling == "":
		return fmt.Errorf("archive: word %q: %w: a word has a site, a sense, a code and a spelling", w.Spelling, ErrValue)
	case len(w.Site) > maxLabel || len(w.Spelling) > maxLabel:
		return fmt.Errorf("archive: word of site %.20q: %w: a site and a spelling have at most %d bytes", w.Site, ErrValue, maxLabel)
	}
	if w.At.IsZero() {
		w.At = s.now()
	}
	err := s.tx(ctx, func(t *sql.Tx) error {
		if _, err := tick(ctx, t); err != nil {
			return err
		}
		_, err := appendJournal(ctx, t, w.At, wordAction, wordSubject, w)
		return err
	})
	if err != nil {
		return fmt.Errorf("archive: %s word %q: %w", w.Verdict, w.Spelling, err)
	}
	return nil
}

// Words lists what stands about words, each as it was decided last, oldest entry
// first.
func (s *Store) Words(ctx context.Context) ([]Word, error) {
	rows, err := s.db.QueryContext(ctx, `SELECT seq, at, body FROM journal WHERE subject = ? AND action = ? ORDER BY seq`, wordSubject, wordAction)
	if err != nil {
		return nil, wrap("words", err)
	}
	defer rows.Close()
	var out []Word
	for rows.Next() {
		var w Word
		var at, body string
		if err := rows.Scan(&w.Entry, &at, &body); err != nil {
			return nil, wrap("words", err)
		}
		if err := json.Unmarshal([]byte(body), &w); err != nil {
			return nil, wrap("words", err)
		}
		if w.At, err = time.Parse(time.RFC3339Nano, at); err != nil {
			return nil, wrap("words", err)
		}
		out = slices.DeleteFunc(out, w.Same)
		out = append(out, w)
	}
	return out, wrap("words", rows.Err())
}

// Ruling is what a person said of one field of a record and that still stands: the
// field was confirmed, or corrected to Value.
type Ruling struct {
	Record string
	Field  string
	Value  record.Field
	Was    *record.Field // what a correction found there, nil for nothing
	By     string
	At     time.Time
}

// Rulings lists the standing confirmations and corrections of single fields and of
// whole records, by record, oldest first.
func (s *Store) Rulings(ctx context.Context) ([]Ruling, error) {
	ids, err := texts(ctx, s.db, `SELECT DISTINCT subject FROM journal WHERE action IN ('confirm', 'correct') AND subject GLOB 'r[0-9]*'`)
	if err != nil {
		return nil, wrap("rulings", err)
	}
	var out []Ruling
	for _, id := range ids {
		list, err := decisions(ctx, s.db, id)
		if err != nil {
			return nil, wrap("rulings about "+id, err)
		}
		for _, e := range list {
			if !e.undone {
				out = append(out, e.rulings(id)...)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Ruling) int {
		return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.Record, b.Record), cmp.Compare(a.Field, b.Field))
	})
	return out, nil
}

// rulings are what one decision says of single fields.
func (e journalled) rulings(id string) []Ruling {
	r := Ruling{Record: id, Field: e.body.Field, By: e.body.By, At: e.at}
	switch {
	case e.action == Correct && e.body.Value != nil:
		r.Value, r.Was = *e.body.Value, e.body.Was
		return []Ruling{r}
	case e.action != Confirm || e.body.Shown == nil:
		return nil
	}
	var out []Ruling
	for name, f := range e.body.Shown.Fields {
		r.Field, r.Value, r.Was = name, f, &f
		out = append(out, r)
	}
	return out
}
