package intake

import (
	"context"
	"fmt"
	"slices"
	"sync"

	"tankroll/archive"
	"tankroll/parse"
	"tankroll/parse/lexicon"
	"tankroll/record"
)

// A word that a site prints and the grammar does not know is learnt from people
// alone: what a person confirmed or corrected proposes it, a person accepts it, and
// from then on slips of that site are read with it. It serves there only, until a
// person promotes it to all sites.

// ownWords remembers the vocabularies of the sites that have words of their own. The
// zero value knows nothing yet.
type ownWords struct {
	mu    sync.Mutex
	last  int64 // newest entry about a word that is known
	known map[string]*lexicon.Lexicon
}

// of is the vocabulary of a site, nil when it has no words of its own.
func (o *ownWords) of(ctx context.Context, store *archive.Store, site string) (*lexicon.Lexicon, error) {
	all, err := store.Words(ctx)
	if err != nil || len(all) == 0 {
		return nil, err
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	if last := all[len(all)-1].Entry; last != o.last || o.known == nil {
		o.last, o.known = last, map[string]*lexicon.Lexicon{}
	}
	if lex, ok := o.known[site]; ok {
		return lex, nil
	}
	lex, err := vocabulary(inForce(all, site))
	if err != nil {
		return nil, err
	}
	o.known[site] = lex
	return lex, nil
}

// vocabulary is the shared one with words of a site, nil for none.
func vocabulary(words []lexicon.Word) (*lexicon.Lexicon, error) {
	if len(words) == 0 {
		return nil, nil
	}
	return lexicon.With(words)
}

// inForce are the words that slips of a site are read with; its own go before those
// of all sites.
func inForce(all []archive.Word, site string) []lexicon.Word {
	var own, shared []lexicon.Word
	for _, w := range all {
		switch {
		case w.Verdict == archive.AcceptWord && w.Site == site:
			own = append(own, taught(w))
		case w.Verdict == archive.PromoteWord:
			shared = append(shared, taught(w))
		}
	}
	return append(own, shared...)
}

func taught(w archive.Word) lexicon.Word {
	return lexicon.Word{Sense: lexicon.Sense(w.Sense), Code: w.Code, Spelling: w.Spelling}
}

// WordChange is what a word makes of the slips of its site, or has made of them.
type WordChange struct {
	archive.Word
	Slips   int      // of the site, that were read again with and without it
	Changed int      // of them, that say something else with it
	Changes []string // some of what they say
}

// The most kept slips that are read again for a word, and the most changes told.
const (
	mostTried = 200
	mostTold  = 6
)

// Words lists the words that people's decisions propose, with an empty Verdict, and
// those that were decided about, each with what it changes.
func (d *Desk) Words(ctx context.Context) ([]WordChange, error) {
	all, decided, err := d.allWords(ctx)
	if err != nil {
		return nil, err
	}
	var out []WordChange
	for _, w := range all {
		c, err := d.tryWord(ctx, decided, w)
		if err != nil {
			return nil, err
		}
		out = append(out, c)
	}
	return out, nil
}

// allWords lists the words that are proposed, then those that were decided about, which
// are given by themselves as well.
func (d *Desk) allWords(ctx context.Context) (all, decided []archive.Word, err error) {
	if decided, err = d.store.Words(ctx); err != nil {
		return nil, nil, err
	}
	proposed, err := d.proposed(ctx, decided)
	return append(proposed, decided...), decided, err
}

// parseSite runs the grammar again over the kept slips that surely are of a site.
func (d *Desk) parseSite(ctx context.Context, site string) error {
	rows, err := d.store.Rows(ctx, archive.Filter{Site: site})
	if err != nil {
		return err
	}
	h, err := d.hints(ctx, site)
	if err != nil {
		return err
	}
	seen := map[string]bool{}
	for _, r := range rows {
		if r.Capture == "" || !r.SiteSure || seen[r.Capture] {
			continue
		}
		seen[r.Capture] = true
		if err := d.parseAgain(ctx, r.Capture, site, h); err != nil {
			return err
		}
	}
	return nil
}

// DecideWord notes what a person decided about the word of a list with an id, and reads
// the kept slips of its site again with or without it. Slips of other sites are read
// with a promoted word when they are read next.
func (d *Desk) DecideWord(ctx context.Context, id, verdict, by, note string) (archive.Word, error) {
	all, _, err := d.allWords(ctx)
	if err != nil {
		return archive.Word{}, err
	}
	for _, w := range all {
		if w.ID() != id {
			continue
		}
		inForce := w.Verdict == archive.AcceptWord || w.Verdict == archive.PromoteWord
		if (verdict == archive.RemoveWord || verdict == archive.PromoteWord) && !inForce {
			return w, fmt.Errorf("%w: %q is not in use at site %s; accept it first", archive.ErrValue, w.Spelling, w.Site)
		}
		w.Verdict, w.By, w.Note, w.At = verdict, by, note, d.now()
		if err := d.store.DecideWord(ctx, w); err != nil || verdict == archive.RefuseWord {
			return w, err
		}
		return w, d.parseSite(ctx, w.Site)
	}
	return archive.Word{}, fmt.Errorf("word %s: %w; tankroll words lists them", id, archive.ErrNotFound)
}

// proposed lists the words that standing decisions propose and nobody decided about;
// one that was removed may be proposed again.
func (d *Desk) proposed(ctx context.Context, decided []archive.Word) ([]archive.Word, error) {
	rulings, err := d.store.Rulings(ctx)
	if err != nil {
		return nil, err
	}
	var out []archive.Word
	for _, r := range rulings {
		words, err := d.taughtBy(ctx, r, decided)
		if err != nil {
			return nil, err
		}
		for _, w := range words {
			settled := slices.ContainsFunc(decided, func(o archive.Word) bool { return o.Same(w) && o.Verdict != archive.RemoveWord })
			if !settled && !slices.ContainsFunc(out, w.Same) {
				out = append(out, w)
			}
		}
	}
	return out, nil
}

// taughtBy lists what one decision teaches the site of its record. What was read surely
// and confirmed teaches nothing; nor does a slip whose site is in doubt.
func (d *Desk) taughtBy(ctx context.Context, r archive.Ruling, decided []archive.Word) ([]archive.Word, error) {
	if r.Was != nil && r.Was.Sure && fmt.Sprint(r.Was.Value) == fmt.Sprint(r.Value.Value) {
		return nil, nil
	}
	row, err := d.store.Record(ctx, r.Record)
	if err != nil || row.Site == "" || !row.SiteSure || row.Capture == "" {
		return nil, err
	}
	readings, err := d.store.Readings(ctx, row.Capture)
	if err != nil {
		return nil, err
	}
	slip, ok := slipOf(readings, row)
	if !ok {
		return nil, nil
	}
	h, err := d.hints(ctx, row.Site)
	if err != nil {
		return nil, err
	}
	said := parse.Said{Kind: row.Record.Kind, Field: r.Field, Value: r.Value}
	if r.Was != nil {
		said.Text = r.Was.Text
	} else if product, ok := row.Record.Fields["product"]; ok && r.Field == "grade" {
		said.Text = product.Text
	}
	var out []archive.Word
	for _, w := range parse.Teaches(slip, h, inForce(decided, row.Site), said) {
		out = append(out, archive.Word{Site: row.Site, Sense: string(w.Sense), Code: w.Code, Spelling: w.Spelling, From: r.Record, By: r.By, At: r.At})
	}
	return out, nil
}

// slipOf is the slip that a record was read from, among the readings of its capture.
func slipOf(readings []archive.Reading, row archive.Row) (record.Slip, bool) {
	for _, p := range readings {
		if p.Page == row.Page && row.Slip < len(p.Slips) {
			slip, _ := p.Slips[row.Slip].Joined()
			return slip, true
		}
	}
	return record.Slip{}, false
}

// tryWord reads kept slips of a word's site with and without it.
func (d *Desk) tryWord(ctx context.Context, decided []archive.Word, w archive.Word) (WordChange, error) {
	out := WordChange{Word: w}
	rest := slices.DeleteFunc(slices.Clone(decided), w.Same)
	words := inForce(rest, w.Site)
	without, err := vocabulary(words)
	if err != nil {
		return out, err
	}
	with, err := vocabulary(append(words, taught(w)))
	if err != nil {
		return out, err
	}
	rows, err := d.store.Rows(ctx, archive.Filter{Site: w.Site})
	if err != nil {
		return out, err
	}
	h, err := d.hints(ctx, w.Site)
	if err != nil {
		return out, err
	}
	seen := map[archive.SlipName]bool{}
	capture, readings := "", []archive.Reading(nil) // its slips follow each other
	for _, row := range slices.Backward(rows) {     // the newest first
		at := archive.SlipName{Capture: row.Capture, Page: row.Page, Slip: row.Slip}
		if row.Capture == "" || seen[at] || len(seen) >= mostTried {
			continue
		}
		seen[at] = true
		if row.Capture != capture {
			if readings, err = d.store.Readings(ctx, row.Capture); err != nil {
				return out, err
			}
			capture = row.Capture
		}
		slip, ok := slipOf(readings, row)
		if !ok {
			continue
		}
		changes := parse.Changes(slip, h, without, with)
		out.Slips++
		if len(changes) > 0 {
			out.Changed++
		}
		about := func(c parse.Change) int {
			if c.Field == w.Code {
				return 1
			}
			return 0
		}
		slices.SortStableFunc(changes, func(a, b parse.Change) int { return about(b) - about(a) })
		for _, c := range changes {
			if len(out.Changes) < mostTold {
				out.Changes = append(out.Changes, row.Capture+" "+c.String())
			}
		}
	}
	return out, nil
}
