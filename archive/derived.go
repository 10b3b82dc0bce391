package archive

import (
	"context"
	"encoding/json"

	"tankroll/record"
)

// derived is the part of a record's row that is folded from the rest: from what
// was read of it on all its pictures and from the journal.
type derived struct {
	kind, site, siteName string
	siteSure             bool
	at, atField, fact    string
	now, head            string // JSON
	pictures             string // JSON, "" when one picture shows it
	one                  int64
	confirmed, rejected  bool
	note, followed       string
}

// shownAs is what folding puts into the row of a member of a group; fact is the
// event that the group tells of.
func shownAs(ctx context.Context, q querier, m *member, all []*member, fact string) (derived, error) {
	f, parts, err := view(ctx, q, m, all)
	if err != nil {
		return derived{}, err
	}
	d := derived{kind: string(f.record.Kind), fact: fact, confirmed: f.confirmed, rejected: f.rejected, note: f.note, followed: f.followed}
	if err := d.texts(f.record, f.header, parts); err != nil {
		return derived{}, err
	}
	if all[0].id != m.id {
		d.one = all[0].id
	}
	d.site, d.siteName, d.siteSure = siteOf(hintOf(m, all), f.header)
	d.at, d.atField = f.record.At(f.header)
	return d, nil
}

func (d *derived) texts(now record.Record, head record.Header, parts []record.Part) error {
	into := []*string{&d.now, &d.head, &d.pictures}
	for i, v := range []any{now, head, parts} {
		raw, err := json.Marshal(v)
		if err != nil {
			return err
		}
		*into[i] = string(raw)
	}
	if len(parts) == 0 {
		d.pictures = ""
	}
	return nil
}

// eventOf names the event that a group tells of: the one that its oldest member
// names, unless a person said that an older record, which says the same, is
// another. Others are the records of which the journal speaks with theirs.
func eventOf(ctx context.Context, q querier, all []*member, others []*member) (string, error) {
	f, _, err := view(ctx, q, all[0], all)
	if err != nil {
		return "", err
	}
	site, _, _ := siteOf(hintOf(all[0], all), f.header)
	at, _ := f.record.At(f.header)
	event := fact(site, at, f.record)
	if event == "" {
		return "", nil
	}
	other := int64(0)
	for _, m := range all {
		for _, o := range others {
			if o.id < all[0].id && (other == 0 || o.id < other) && wordOf(m, o) == Differ {
				other = o.id
			}
		}
	}
	if other != 0 {
		event += "\x1fnot " + name("r", other)
	}
	return event, nil
}
