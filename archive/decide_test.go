package archive

import (
	"context"
	"errors"
	"strings"
	"testing"

	"tankroll/record"
)

// oneRecord keeps and reads one invented slip whose result is in doubt.
func oneRecord(t *testing.T, s *Store) Row {
	t.Helper()
	ctx := context.Background()
	c, _, err := s.Keep(ctx, "a.jpg", []byte("\xff\xd8\xff "+t.Name()), "")
	if err != nil {
		t.Fatal(err)
	}
	if err := s.SaveReadings(ctx, c.ID, []Reading{doubtful()}); err != nil {
		t.Fatal(err)
	}
	rows, err := s.Rows(ctx, Filter{Capture: c.ID})
	if err != nil || len(rows) != 1 {
		t.Fatalf("rows: %v %v", rows, err)
	}
	return rows[0]
}

func doubtful() Reading {
	p := tankTest("8", "2025-03-04T06:41", "pass")
	r := &p.Slips[0].Report.Records[0]
	f := r.Fields["tank"]
	f.Sure, f.Confidence = false, 0.6
	r.Fields["tank"] = f
	r.Fields["start_volume"] = record.Field{Value: 5000.0, Unit: "L", Text: "5000", Confidence: 0.99, Sure: true, Origin: record.Printed}
	r.Doubts = []record.Doubt{{Field: "ended_at", Why: "day and month could be swapped"}, {Field: "tank", Why: "3 or 8"}}
	return p
}

func decide(t *testing.T, s *Store, d Decision) Row {
	t.Helper()
	if err := s.Decide(context.Background(), d); err != nil {
		t.Fatal(err)
	}
	r, err := s.Record(context.Background(), d.Record)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestCorrectConfirmRejectUndo(t *testing.T) {
	ctx := context.Background()
	s := open(t, t.TempDir())
	r := oneRecord(t, s)
	if r.Sure() {
		t.Fatal("a record in doubt passes for sure")
	}
	seq, _ := s.Seq(ctx)

	r = decide(t, s, Decision{Record: r.ID, Action: Correct, Field: "tank", Value: "003", By: "ann"})
	f := r.Record.Fields["tank"]
	if f.Value != "3" || f.Text != "8" || f.Origin != record.Entered || !f.Sure || f.Confidence != 1 || f.Box.IsZero() {
		t.Errorf("corrected field: %+v", f)
	}
	if len(r.Record.Doubts) != 1 || r.Record.Doubts[0].Field != "ended_at" || r.Sure() {
		t.Errorf("the other doubt must stay: %+v", r.Record.Doubts)
	}
	if now, _ := s.Seq(ctx); now <= seq {
		t.Errorf("seq must grow: %d then %d", seq, now)
	}

	r = decide(t, s, Decision{Record: r.ID, Action: Confirm, Field: "ended_at"})
	if !r.Sure() || r.Confirmed || r.Record.Fields["ended_at"].Origin != record.Printed {
		t.Errorf("confirmed field: %+v", r)
	}
	r = decide(t, s, Decision{Record: r.ID, Action: Correct, Field: "ended_at", Value: "2025-04-03 06:41"})
	if r.At != "2025-04-03T06:41" {
		t.Errorf("at follows a correction: %q", r.At)
	}
	r = decide(t, s, Decision{Record: r.ID, Action: Undo, Field: "ended_at"})
	if r.At != "2025-03-04T06:41" || !r.Sure() {
		t.Errorf("undo gives back what stood before: %q sure %v", r.At, r.Sure())
	}
	r = decide(t, s, Decision{Record: r.ID, Action: Correct, Field: "start_volume", Value: "6,001.5"})
	if f := r.Record.Fields["start_volume"]; f.Value != 6001.5 || f.Unit != "L" {
		t.Errorf("a number keeps the printed unit: %+v", f)
	}
	r = decide(t, s, Decision{Record: r.ID, Action: Correct, Field: "start_volume"})
	if _, ok := r.Record.Fields["start_volume"]; ok {
		t.Error("an empty value says that the paper does not show it")
	}
	r = decide(t, s, Decision{Record: r.ID, Action: Correct, Field: "site_number", Value: "0077"})
	if r.Site != "77" || !r.SiteSure {
		t.Errorf("site: %q %v", r.Site, r.SiteSure)
	}
	r = decide(t, s, Decision{Record: r.ID, Action: Reject, Note: "a test print"})
	if !r.Rejected || r.Sure() || r.Note != "a test print" {
		t.Errorf("rejected: %+v", r)
	}
	if rows, _ := s.Rows(ctx, Filter{}); len(rows) != 0 {
		t.Error("rejected rows are left out unless asked for")
	}
	if rows, _ := s.Rows(ctx, Filter{Rejected: true}); len(rows) != 1 {
		t.Error("rejected rows can be asked for")
	}
	r = decide(t, s, Decision{Record: r.ID, Action: Undo})
	r = decide(t, s, Decision{Record: r.ID, Action: Confirm, By: "bob"})
	if !r.Confirmed || r.Rejected || !r.Sure() {
		t.Errorf("confirmed: %+v", r)
	}

	h, err := s.History(ctx, r.ID)
	if err != nil || len(h) != 10 {
		t.Fatalf("history: %d entries, %v", len(h), err)
	}
	if h[0].By != "ann" || h[0].Value != "003" || !h[2].Undone || h[3].Action != Undo || h[9].By != "bob" || h[9].At.IsZero() {
		t.Errorf("history: %+v", h)
	}
	if bad, err := s.Check(ctx); err != nil || len(bad) != 0 {
		t.Errorf("check: %v %v", bad, err)
	}
}

func TestDecideRefuses(t *testing.T) {
	ctx := context.Background()
	s := open(t, t.TempDir())
	r := oneRecord(t, s)
	for _, d := range []Decision{
		{Action: Correct, Field: "result", Value: "passed"},
		{Action: Correct, Field: "volume", Value: "12"}, // no field of a tank test
		{Action: Correct, Field: "ended_at", Value: "2025-02-30"},
		{Action: Correct, Field: "ended_at", Value: "03/04/2025"},
		{Action: Correct, Field: "leak_rate", Value: "0.1 psi"},
		{Action: Correct, Field: "leak_rate", Value: "abc"},
		{Action: Correct, Field: "leak_rate", Value: "1e999"},
		{Action: Correct, Field: "percent_full", Value: "40 gal"},
		{Action: Correct, Field: "product", Value: "two\nlines"},
		{Action: Correct, Field: "product", Value: strings.Repeat("x", 300)},
		{Action: Correct, Field: "tank", Value: "2; drop"},
		{Action: Correct, Value: "1"},
		{Action: Reject, Field: "tank"},
		{Action: Confirm, Field: "leak_rate"}, // not on this slip
		{Action: Undo},
		{Action: "delete"},
	} {
		d.Record = r.ID
		if err := s.Decide(ctx, d); !errors.Is(err, ErrValue) {
			t.Errorf("%+v: %v", d, err)
		}
	}
	for _, id := range []string{"r99", "87", "", "c1", "r-1", "r1 OR 1=1"} {
		if err := s.Decide(ctx, Decision{Record: id, Action: Confirm}); !errors.Is(err, ErrNotFound) {
			t.Errorf("%q: %v", id, err)
		}
	}
	if h, err := s.History(ctx, r.ID); err != nil || len(h) != 0 {
		t.Errorf("what was refused must leave no trace: %v %v", h, err)
	}
}

// TestReadAgain reads a capture again with a better and a worse reader.
func TestReadAgain(t *testing.T) {
	ctx := context.Background()
	s := open(t, t.TempDir())
	r := oneRecord(t, s)
	decide(t, s, Decision{Record: r.ID, Action: Correct, Field: "tank", Value: "3"})
	decide(t, s, Decision{Record: r.ID, Action: Confirm, Field: "result"})

	better := tankTest("8", "2025-03-04T06:41", "fail") // misreads what was confirmed, adds a record
	more := record.Record{Kind: record.SensorStatus, Fields: record.Fields{"sensor": printed("4", record.Box{X: 1, Y: 900, W: 10, H: 10})}}
	better.Slips[0].Report.Records = append([]record.Record{more}, better.Slips[0].Report.Records...)
	better.GrammarVersion = 2
	seq, _ := s.Seq(ctx)
	if err := s.SaveReadings(ctx, r.Capture, []Reading{better}); err != nil {
		t.Fatal(err)
	}
	again, err := s.Record(ctx, r.ID)
	if err != nil || again.Index != 1 || again.Record.Text("tank") != "3" || again.Record.Text("result") != "pass" {
		t.Errorf("a new reading must keep the id and what was decided: %+v %v", again, err)
	}
	if _, ok := again.Record.Fields["start_volume"]; ok {
		t.Error("what was not decided follows the new reading")
	}
	ch, err := s.Changes(ctx, seq)
	if err != nil || len(ch.Records) != 2 || len(ch.Captures) != 1 || len(ch.Gone) != 0 {
		t.Errorf("changes: %+v %v", ch, err)
	}

	seq = ch.Seq
	if err := s.SaveReadings(ctx, r.Capture, []Reading{{Page: 1, Error: "too dark"}}); err != nil {
		t.Fatal(err)
	}
	again, err = s.Record(ctx, r.ID)
	if err != nil || again.Record.Text("tank") != "3" || again.Sure() {
		t.Errorf("a decided record stays, with a doubt: %+v %v", again, err)
	}
	ch, err = s.Changes(ctx, seq)
	if err != nil || len(ch.Gone) != 1 || len(ch.Records) != 1 {
		t.Errorf("the record nobody decided about goes: %+v %v", ch, err)
	}
	p, err := s.Readings(ctx, r.Capture)
	if err != nil || len(p) != 1 || p[0].Error != "too dark" || len(p[0].Slips) != 0 {
		t.Errorf("readings: %+v %v", p, err)
	}

	if err := s.SaveReadings(ctx, r.Capture, []Reading{better}); err != nil {
		t.Fatal(err)
	}
	rows, err := s.Rows(ctx, Filter{Capture: r.Capture})
	if err != nil || len(rows) != 2 || rows[0].ID != ch.Gone[0] && rows[1].ID != ch.Gone[0] {
		t.Errorf("a record that comes back has the id it had: %+v %v", rows, err)
	}
	sl, err := s.Slip(ctx, r.Capture, 1, 0)
	if err != nil || len(sl.Report.Records) != 2 || sl.Slip.Turn != 90 {
		t.Errorf("slip: %+v %v", sl, err)
	}
	if _, err := s.Slip(ctx, r.Capture, 2, 0); !errors.Is(err, ErrNotFound) {
		t.Errorf("no such slip: %v", err)
	}
}

func TestSaveReadingsIsOneTransaction(t *testing.T) {
	ctx := context.Background()
	s := open(t, t.TempDir())
	r := oneRecord(t, s)
	seq, _ := s.Seq(ctx)
	bad := []Reading{tankTest("1", "2025-01-01", "pass"), tankTest("2", "2025-01-01", "pass")} // page 1 twice
	if err := s.SaveReadings(ctx, r.Capture, bad); err == nil {
		t.Fatal("the same page twice was taken")
	}
	rows, err := s.Rows(ctx, Filter{})
	if now, _ := s.Seq(ctx); err != nil || len(rows) != 1 || rows[0].Record.Text("tank") != "8" || now != seq {
		t.Errorf("half of it was kept: %+v %v", rows, err)
	}
	if err := s.SaveReadings(ctx, "c99", nil); !errors.Is(err, ErrNotFound) {
		t.Errorf("no such capture: %v", err)
	}
}

func TestEnter(t *testing.T) {
	ctx := context.Background()
	s := open(t, t.TempDir())
	e := Entry{Site: "0114", Kind: record.TankTest, PrintedAt: "2025-02-01T08:00", Note: "ghost slip, read with a lamp",
		Fields: map[string]any{"tank": "02", "result": "PASS", "test_class": "0.2", "leak_rate": -0.03, "start_volume": "22,712 L"}}
	r, err := s.Enter(ctx, e)
	if err != nil {
		t.Fatal(err)
	}
	if !r.ByHand || r.Capture != "" || r.Site != "114" || r.At != "2025-02-01T08:00" || r.AtField != "printed_at" || !r.Sure() || r.Note != e.Note {
		t.Errorf("row: %+v", r)
	}
	for name, f := range r.Record.Fields {
		if f.Origin != record.Entered || !f.Sure {
			t.Errorf("%s: %+v", name, f)
		}
	}
	if f := r.Record.Fields["leak_rate"]; f.Value != -0.03 || f.Unit != "gal/h" {
		t.Errorf("leak rate: %+v", f)
	}
	if f := r.Record.Fields["start_volume"]; f.Value != 22712.0 || f.Unit != "L" {
		t.Errorf("start volume: %+v", f)
	}
	again, err := s.Enter(ctx, e)
	if err != nil || again.ID != r.ID {
		t.Errorf("the same entry again: %s, %v; want %s", again.ID, err, r.ID)
	}
	r = decide(t, s, Decision{Record: r.ID, Action: Correct, Field: "tank", Value: "3"})
	if !r.ByHand {
		t.Error("an entered record must never pass for a read one")
	}
	if rows, err := s.Rows(ctx, Filter{ByHand: true}); err != nil || len(rows) != 1 {
		t.Errorf("by hand: %v %v", rows, err)
	}
	if bad, err := s.Check(ctx); err != nil || len(bad) != 0 {
		t.Errorf("check: %v %v", bad, err)
	}
	for _, e := range []Entry{
		{Site: "1", Kind: "tank", Fields: map[string]any{"tank": "1"}},
		{Site: "1", Kind: record.TankTest},
		{Kind: record.TankTest, Fields: map[string]any{"tank": "1"}},
		{Site: "1", Kind: record.TankTest, Fields: map[string]any{"colour": "red"}},
		{Site: "1", Kind: record.TankTest, Fields: map[string]any{"tank": []any{"1"}}},
		{Site: "1", Kind: record.TankTest, PrintedAt: "yesterday", Fields: map[string]any{"tank": "1"}},
	} {
		if _, err := s.Enter(ctx, e); !errors.Is(err, ErrValue) {
			t.Errorf("%+v: %v", e, err)
		}
	}
}

func TestJournalIsAppendOnly(t *testing.T) {
	ctx := context.Background()
	s := open(t, t.TempDir())
	r := oneRecord(t, s)
	decide(t, s, Decision{Record: r.ID, Action: Confirm})
	for _, q := range []string{`UPDATE journal SET body = '{}'`, `DELETE FROM journal`, `DELETE FROM records`, `DELETE FROM captures`} {
		if _, err := s.db.Exec(q); err == nil {
			t.Errorf("%s was allowed", q)
		}
	}
	if err := s.VerifyJournal(ctx); err != nil {
		t.Error(err)
	}
}

func TestVerifyJournal(t *testing.T) {
	ctx := context.Background()
	for name, q := range map[string]string{
		"changed":  `UPDATE journal SET body = replace(body, 'ann', 'bob') WHERE seq = 2`,
		"dropped":  `DELETE FROM journal WHERE seq = 2`,
		"first":    `DELETE FROM journal WHERE seq = 1`,
		"backdate": `UPDATE journal SET at = '2020-01-01T00:00:00Z' WHERE seq = 3`,
		"reversed": `UPDATE journal SET seq = CASE seq WHEN 2 THEN -3 WHEN 3 THEN -2 ELSE seq END; UPDATE journal SET seq = -seq WHERE seq < 0`,
	} {
		t.Run(name, func(t *testing.T) {
			s := open(t, t.TempDir())
			r := oneRecord(t, s)
			for range 3 {
				decide(t, s, Decision{Record: r.ID, Action: Confirm, By: "ann"})
			}
			if err := s.VerifyJournal(ctx); err != nil {
				t.Fatal(err)
			}
			if _, err := s.db.Exec(`DROP TRIGGER journal_no_update; DROP TRIGGER journal_no_delete; ` + q); err != nil {
				t.Fatal(err)
			}
			if err := s.VerifyJournal(ctx); !errors.Is(err, ErrDamaged) {
				t.Errorf("went unnoticed: %v", err)
			}
		})
	}
}

// TestCheckNoticesForgedState changes the folded state behind the journal's back.
func TestCheckNoticesForgedState(t *testing.T) {
	ctx := context.Background()
	s := open(t, t.TempDir())
	r := oneRecord(t, s)
	if _, err := s.db.Exec(`UPDATE records SET now = replace(now, '"pass"', '"fail"')`); err != nil {
		t.Fatal(err)
	}
	if bad, err := s.Check(ctx); err != nil || len(bad) != 1 || bad[0].What != r.ID {
		t.Errorf("check: %v %v", bad, err)
	}
}

func TestFilterRange(t *testing.T) {
	ctx := context.Background()
	s := open(t, t.TempDir())
	for i, at := range []string{"2025-03-13", "2025-03-14", "2025-03-14T00:00", "2025-03-14T23:59:59", "2025-03-15T00:00", ""} {
		c, _, err := s.Keep(ctx, "a", []byte{byte(i)}, "")
		if err != nil {
			t.Fatal(err)
		}
		p := tankTest("1", at, "pass")
		if at == "" {
			delete(p.Slips[0].Report.Records[0].Fields, "ended_at")
		}
		if err := s.SaveReadings(ctx, c.ID, []Reading{p}); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		from, to string
		want     int
	}{
		{"", "", 6}, {"2025-03-14", "2025-03-14", 3}, {"2025-03-14", "", 4}, {"", "2025-03-14", 4},
		{"", "2025-03-13", 1}, {"2025-03-14T12:00", "2025-03-15", 2}, {"", "2025-03-14T00:00", 3},
	} {
		rows, err := s.Rows(ctx, Filter{From: c.from, To: c.to})
		if err != nil || len(rows) != c.want {
			t.Errorf("%q to %q: %d rows, want %d, %v", c.from, c.to, len(rows), c.want, err)
		}
	}
	if rows, err := s.Rows(ctx, Filter{IDs: []string{"r2", "r5"}, Limit: 1}); err != nil || len(rows) != 1 || rows[0].ID != "r2" {
		t.Errorf("ids: %v %v", rows, err)
	}
	if rows, err := s.Rows(ctx, Filter{IDs: []string{}}); err != nil || len(rows) != 0 {
		t.Errorf("no ids: %v %v", rows, err)
	}
}

// TestFact: the same printout photographed twice tells of one event.
func TestFact(t *testing.T) {
	ctx := context.Background()
	s := open(t, t.TempDir())
	for i, p := range []Reading{tankTest("1", "2025-03-13T06:00", "pass"), tankTest("1", "2025-03-13T06:00", "pass"),
		tankTest("1", "2025-03-13T06:00", "fail"), tankTest("2", "2025-03-13T06:00", "pass"), tankTest("", "2025-03-13T06:00", "pass")} {
		c, _, err := s.Keep(ctx, "a", []byte{byte(i)}, "")
		if err != nil {
			t.Fatal(err)
		}
		if err := s.SaveReadings(ctx, c.ID, []Reading{p}); err != nil {
			t.Fatal(err)
		}
	}
	r, err := s.Record(ctx, "r1")
	if err != nil || r.Fact == "" {
		t.Fatalf("%+v %v", r, err)
	}
	if rows, err := s.Rows(ctx, Filter{Facts: []string{r.Fact}}); err != nil || len(rows) != 2 || rows[1].ID != "r2" {
		t.Errorf("same event: %v %v", rows, err)
	}
	if rows, err := s.Rows(ctx, Filter{Facts: []string{}}); err != nil || len(rows) != 0 {
		t.Errorf("no event: %v %v", rows, err)
	}
	if r, _ := s.Record(ctx, "r5"); r.Fact != "" {
		t.Errorf("without a tank number it may be any event: %q", r.Fact)
	}
}

func TestSiteKey(t *testing.T) {
	for in, want := range map[string]string{
		"0114": "114", " 114 ": "114", "000": "0", "#0114": "114", "Oak  Street": "OAK STREET", "a-12": "A-12", "": "", "0a": "0A",
	} {
		if got := SiteKey(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
		if again := SiteKey(SiteKey(in)); again != want {
			t.Errorf("%q: not stable: %q", in, again)
		}
	}
}
