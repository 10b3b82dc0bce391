package archive

import (
	"context"
	"slices"
	"strings"

	"tankroll/record"
)

// Alike is two records that may be one: they nearly agree, and where they do not
// one of them is in doubt. A person says which it is, with Same or Differ.
type Alike struct {
	A, B   Row      // the older first
	Differ []Change // From A, To B: what they say differently, or only one is sure of
}

// maxAlike bounds how many records of one kind and day are compared with each
// other. A slip has some hundred alarms at most.
const maxAlike = 200

// MayBeSame lists the records that a record may be one with.
func (s *Store) MayBeSame(ctx context.Context, id string) ([]Alike, error) {
	row, err := s.Record(ctx, id)
	if err != nil || row.Gone || row.Rejected || row.ByHand || len(row.At) < len("2006-01-02") {
		return nil, err
	}
	day := row.At[:10]
	rows, err := selectRows(ctx, s.db, `WHERE r.kind = ? AND (r.at >= ? AND r.at < ? OR r.at >= ? AND r.at < ?) AND r.gone = 0 AND r.rejected = 0
		AND r.one = 0 AND r.capture IS NOT NULL ORDER BY r.id LIMIT ?`,
		string(row.Record.Kind), day, day+"~", turned(day), turned(day)+"~", maxAlike)
	if err != nil {
		return nil, err
	}
	var out []Alike
	for _, o := range rows {
		if o.ID == row.ID || slices.Contains(row.With, o.ID) {
			continue
		}
		a, b := row, o
		if rowNumber(b) < rowNumber(a) {
			a, b = b, a
		}
		if x, ok, err := s.alike(ctx, a, b); err != nil {
			return nil, wrap("records like "+id, err)
		} else if ok {
			out = append(out, x)
		}
	}
	return out, nil
}

// EachAlike gives every two records that may be one to each, by kind and day: those
// of which one has changed since a count of Seq, 0 for all.
func (s *Store) EachAlike(ctx context.Context, since int64, each func(Alike) error) error {
	type group struct{ kind, day string }
	var groups []group
	// A day and the day that it is with the month's number for its own are one.
	rows, err := s.db.QueryContext(ctx, `SELECT kind, CASE WHEN substr(at, 9, 2) < substr(at, 6, 2)
			THEN substr(at, 1, 4) || '-' || substr(at, 9, 2) || '-' || substr(at, 6, 2) ELSE substr(at, 1, 10) END AS day
		FROM records WHERE gone = 0 AND rejected = 0 AND one = 0 AND capture IS NOT NULL AND length(at) >= 10 AND seq > ?1
		GROUP BY 1, 2 HAVING ?1 > 0 OR count(*) > 1 ORDER BY 2, 1`, since)
	if err != nil {
		return wrap("records alike", err)
	}
	defer rows.Close()
	for rows.Next() {
		var g group
		if err := rows.Scan(&g.kind, &g.day); err != nil {
			return wrap("records alike", err)
		}
		groups = append(groups, g)
	}
	if err := rows.Err(); err != nil {
		return wrap("records alike", err)
	}
	rows.Close()
	for _, g := range groups {
		list, err := selectRows(ctx, s.db, `WHERE r.kind = ? AND (r.at >= ? AND r.at < ? OR r.at >= ? AND r.at < ?) AND r.gone = 0 AND r.rejected = 0
			AND r.one = 0 AND r.capture IS NOT NULL ORDER BY r.id LIMIT ?`, g.kind, g.day, g.day+"~", turned(g.day), turned(g.day)+"~", maxAlike)
		if err != nil {
			return err
		}
		for i, b := range list {
			for _, a := range list[:i] {
				if a.Seq <= since && b.Seq <= since {
					continue
				}
				x, ok, err := s.alike(ctx, a, b)
				if err != nil {
					return wrap("records alike", err)
				}
				if !ok {
					continue
				}
				if err := each(x); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// turned is a date with day and month the other way round, or the same when
// there is no such month.
func turned(day string) string {
	if month := day[8:10]; month <= "12" {
		return day[:5] + month + "-" + day[5:7]
	}
	return day
}

func rowNumber(r Row) int64 { n, _ := number("r", r.ID); return n }

// alike compares two records.
func (s *Store) alike(ctx context.Context, a, b Row) (Alike, bool, error) {
	out := Alike{A: a, B: b}
	if onePicture(a, b) || a.Site != b.Site && a.SiteSure && b.SiteSure {
		return out, false, nil
	}
	agree, differ := 0, 0
	var apart []string // surely another event, unless it was put right by a person
	for _, name := range namesOf(a.Record, b.Record) {
		x, y := fieldIn(a.Record.Fields, name), fieldIn(b.Record.Fields, name)
		spec, _ := record.Spec(a.Record.Kind, name)
		tells := identity(spec) && spec.Name != "test_class" || spec.Type == record.Number
		switch {
		case x == nil || y == nil:
		case sameValue(*x, *y):
			if tells {
				agree++
			}
		case spec.Type == record.Label && spec.Name != "event":
		case identity(spec) && x.Sure && y.Sure:
			apart = append(apart, name)
			fallthrough
		default:
			differ++
		}
		if x == nil || y == nil || !sameValue(*x, *y) || x.Sure != y.Sure {
			out.Differ = append(out.Differ, Change{name, x, y})
		}
	}
	// Three things that tell records apart agree, as tank, end and result do, and
	// not more than one in five differs.
	if agree < 3 || differ > 1+agree/4 {
		return out, false, nil
	}
	ok, err := s.unsettled(ctx, a, b, apart)
	return out, ok, err
}

// unsettled reports whether no person has said how two records stand to each
// other, and whether what surely differs was read alike and differs by a person's
// hand.
func (s *Store) unsettled(ctx context.Context, a, b Row, apart []string) (bool, error) {
	var sides [2][]*member
	for i, r := range []Row{a, b} {
		_, all, err := loadAll(ctx, s.db, rowNumber(r))
		if err != nil {
			return false, err
		}
		sides[i] = all
	}
	for _, m := range sides[0] {
		for _, o := range sides[1] {
			if wordOf(m, o) == Differ {
				return false, nil
			}
		}
	}
	for _, name := range apart {
		read := func(all []*member) string {
			f := all[0].record.Fields[name]
			return strings.ToUpper(shortValue(f))
		}
		if read(sides[0]) != read(sides[1]) {
			return false, nil
		}
	}
	return true, nil
}
