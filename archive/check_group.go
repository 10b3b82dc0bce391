package archive

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"tankroll/record"
)

// checkRow folds a record again, with all that it is one with.
func checkRow(ctx context.Context, q querier, id int64) error {
	m, all, err := loadAll(ctx, q, id)
	if err != nil {
		return err
	}
	others, err := spokenOf(ctx, q, all)
	if err != nil {
		return err
	}
	event, err := eventOf(ctx, q, all, others)
	if err != nil {
		return err
	}
	want, err := shownAs(ctx, q, m, all, event)
	if err != nil {
		return err
	}
	have, err := storedView(ctx, q, id)
	if err != nil {
		return err
	}
	if have != want {
		return fmt.Errorf("%w: it does not show what was read and decided", ErrDamaged)
	}
	own, err := m.own(ctx, q)
	if err != nil {
		return err
	}
	if m.twin != twinKey(own, m.hint, m.byHand, m.unseen || m.gone) {
		return fmt.Errorf("%w: the key by which other pictures of it are found is not its own", ErrDamaged)
	}
	if m.byHand {
		return checkTyped(ctx, q, name("r", id), id)
	}
	return nil
}

// storedView is the part of a row that is folded, as it stands in the database.
// Texts are written anew, since an older program may have ordered them otherwise.
func storedView(ctx context.Context, q querier, id int64) (d derived, err error) {
	err = q.QueryRowContext(ctx, `SELECT kind, site, site_name, site_sure, at, at_field, fact, now, now_head, pictures, one,
		confirmed, rejected, note, followed FROM records WHERE id = ?`, id).
		Scan(&d.kind, &d.site, &d.siteName, &d.siteSure, &d.at, &d.atField, &d.fact, &d.now, &d.head, &d.pictures, &d.one,
			&d.confirmed, &d.rejected, &d.note, &d.followed)
	if err != nil {
		return d, err
	}
	var now record.Record
	var head record.Header
	var parts []record.Part
	pictures := d.pictures
	if pictures == "" {
		pictures = "[]"
	}
	if err := unmarshal3(d.now, &now, d.head, &head, pictures, &parts); err != nil {
		return d, err
	}
	return d, d.texts(now, head, parts)
}

// spokenOf loads the records of which the journal speaks with those of a group;
// that the table of pairs knows each of them is checked on the way.
func spokenOf(ctx context.Context, q querier, all []*member) ([]*member, error) {
	var out []*member
	for _, m := range all {
		ids, err := numbers(ctx, q, `SELECT b FROM pairs WHERE a = ?`, m.id)
		if err != nil {
			return nil, err
		}
		for _, id := range ids {
			o, err := loadMember(ctx, q, id)
			if err != nil {
				return nil, err
			}
			out = append(out, o)
		}
		for _, e := range m.list {
			for _, other := range slices.Concat([]string{e.body.Other}, e.body.OneWith, e.body.Apart) {
				if other == "" {
					continue
				}
				n, err := number("r", other)
				if err != nil {
					return nil, err
				}
				if !slices.Contains(ids, n) {
					return nil, fmt.Errorf("%w: journal entry %d speaks of it and %s, and the archive does not know that", ErrDamaged, e.seq, other)
				}
			}
		}
	}
	return out, nil
}

// checkLinked compares the site that a capture was linked to with the journal.
func checkLinked(ctx context.Context, q querier, id int64) error {
	var have string
	if err := q.QueryRowContext(ctx, `SELECT linked FROM captures WHERE id = ?`, id).Scan(&have); err != nil {
		return err
	}
	said, err := texts(ctx, q, `SELECT body FROM journal WHERE subject = ? AND action = ? ORDER BY seq DESC LIMIT 1`, name("c", id), Link)
	if err != nil {
		return err
	}
	var want linked
	if len(said) > 0 {
		if err := json.Unmarshal([]byte(said[0]), &want); err != nil {
			return err
		}
	}
	if have != want.Site {
		return fmt.Errorf("%w: it is linked to site %q, and the journal says to %q", ErrDamaged, have, want.Site)
	}
	return nil
}

// checkReadings compares the readings of a capture's pages with the account of
// readings.
func checkReadings(ctx context.Context, q querier, id int64, readings []Reading) error {
	account, err := accountOf(ctx, q, `r.capture = ?`, id)
	if err != nil {
		return err
	}
	for _, p := range readings {
		i := slices.IndexFunc(account, func(a PageReading) bool { return a.Number == p.Number })
		if i < 0 {
			return fmt.Errorf("%w: the account of readings does not know the one of page %d", ErrDamaged, p.Page)
		}
		a := account[i]
		if a.Page != p.Page || a.OCRVersion != p.OCRVersion || a.GrammarVersion != p.GrammarVersion || a.Slips != len(p.Slips) || a.Error != p.Error {
			return fmt.Errorf("%w: the account of readings tells of another reading of page %d", ErrDamaged, p.Page)
		}
	}
	return nil
}

// relations looks for rows that cannot stand beside each other, whatever was read
// and decided.
func (c *checker) relations(ctx context.Context) error {
	for _, q := range []struct{ what, lost string }{
		{"it is one with a record that is itself one with another",
			`SELECT 'r' || r.id FROM records r JOIN records o ON o.id = r.one WHERE r.one <> 0 AND o.one <> 0`},
		{"the reading that it is from is not in the account of readings",
			`SELECT 'r' || r.id FROM records r WHERE r.reading <> 0 AND NOT EXISTS
				(SELECT 1 FROM readings n WHERE n.id = r.reading AND n.capture = r.capture AND n.page = r.page)`},
		{"what an earlier reading said of it is from a reading that is not in the account",
			`SELECT 'r' || s.record FROM superseded s WHERE s.reading <> 0 AND NOT EXISTS (SELECT 1 FROM readings n WHERE n.id = s.reading)`},
		{"it was not read and does not wait to be",
			`SELECT 'c' || id FROM captures WHERE read = 0 AND NOT EXISTS (SELECT 1 FROM jobs WHERE capture = id)`},
		{"pages of it were read, but it does not wait for the others",
			`SELECT DISTINCT 'c' || capture FROM begun b WHERE NOT EXISTS (SELECT 1 FROM jobs j WHERE j.capture = b.capture)`},
		{"the archive knows only one way that the journal speaks of it and another record",
			`SELECT 'r' || p.a FROM pairs p WHERE NOT EXISTS (SELECT 1 FROM pairs o WHERE o.a = p.b AND o.b = p.a)`},
	} {
		ids, err := texts(ctx, c.s.db, q.lost)
		for _, id := range ids {
			c.found(Problem{id, fmt.Errorf("%w: %s", ErrDamaged, q.what), doRestore})
		}
		if err != nil {
			return err
		}
	}
	return nil
}
