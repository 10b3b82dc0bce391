package intake

import (
	"fmt"
	"strings"
	"testing"

	"tankroll/archive"
	"tankroll/parse"
)

// keepStrange keeps a typed slip of a site with a label and a result that the grammar
// does not know, each with another time: the same test on two slips would be one record.
func keepStrange(t *testing.T, d *Desk, name, site string) string {
	t.Helper()
	ended := fmt.Sprintf("%02d:%02d", name[0]-'a', len(site)*10+len(name))
	text := "MARLOW CORNER FUELS\nSITE NO. " + site + "\nPRINTED 14-MAR-2026 16:46\n\nTANK LEAK TEST\nTANK 3   DIESEL\nTEST RATE ....... 0.2 GAL/HR\n" +
		"ENDED ........... 14-MAR-2026 " + ended + "\nLEAK RATE ....... -0.016 GAL/HR\nSNOOKER ......... 5123 GAL\nRESULT .......... HUNKY DORY\n"
	c, _, err := d.Store().Keep(t.Context(), name, []byte(name), "")
	if err != nil {
		t.Fatal(err)
	}
	slip := parse.Typed(text)[0]
	r := []archive.Reading{{Page: 1, GrammarVersion: parse.Version, Slips: []archive.SlipReading{{Slip: slip, Report: parse.Slip(slip, Hints(d.now(), ""))}}}}
	if _, err := d.save(t.Context(), c, r); err != nil {
		t.Fatal(err)
	}
	rows, err := d.Store().Rows(t.Context(), archive.Filter{Capture: c.ID})
	if err != nil || len(rows) != 1 {
		t.Fatalf("%d records, %v", len(rows), err)
	}
	return rows[0].ID
}

// TestWords: a correction proposes words, a person accepts one, slips of that site alone
// are read with it, until it is promoted or removed; and nothing is learnt from a reading
// that nobody confirmed.
func TestWords(t *testing.T) {
	d := desk(t, t.TempDir())
	ctx := t.Context()
	id := keepStrange(t, d, "a", "9")
	if words, err := d.Words(ctx); err != nil || len(words) != 0 {
		t.Fatalf("words without a decision: %v, %v", words, err)
	}
	if err := d.Store().Decide(ctx, archive.Decision{Record: id, Action: archive.Correct, Field: "result", Value: "pass", By: "Ada"}); err != nil {
		t.Fatal(err)
	}
	if err := d.Store().Decide(ctx, archive.Decision{Record: id, Action: archive.Correct, Field: "start_volume", Value: "5123 gal", By: "Ada"}); err != nil {
		t.Fatal(err)
	}
	words, err := d.Words(ctx)
	if err != nil || len(words) != 2 || words[0].Spelling != "hunky dory" || words[0].Sense != "result" || words[0].Code != "pass" {
		t.Fatalf("proposed %v, %v; want the word for the result and the label", words, err)
	}
	w := words[1]
	if w.Spelling != "snooker" || w.Site != "9" || w.Verdict != "" || w.From != id || w.Slips != 1 || w.Changed != 1 || !strings.Contains(strings.Join(w.Changes, " "), "start_volume was nothing, would be 5123 gal") {
		t.Errorf("proposed %+v", w)
	}
	if _, err := d.DecideWord(ctx, w.ID(), archive.PromoteWord, "Ben", ""); err == nil {
		t.Error("a word was promoted that nobody accepted")
	}
	kept := keepStrange(t, d, "p", "9") // before anything is accepted
	volume := func(name, site string) string {
		t.Helper()
		row, err := d.Store().Record(ctx, keepStrange(t, d, name, site))
		if err != nil {
			t.Fatal(err)
		}
		f := row.Record.Fields["start_volume"]
		if v, ok := f.Number(); ok && v == 5123 && f.Sure {
			return "sure"
		}
		return "not read"
	}
	for i, step := range []struct{ verdict, own, other string }{
		{"", "not read", "not read"},
		{archive.AcceptWord, "sure", "not read"},
		{archive.PromoteWord, "sure", "sure"},
		{archive.RemoveWord, "not read", "not read"},
		{archive.RefuseWord, "not read", "not read"},
	} {
		if step.verdict != "" {
			if _, err := d.DecideWord(ctx, w.ID(), step.verdict, "Ben", ""); err != nil {
				t.Fatal(step.verdict, err)
			}
		}
		if row, err := d.Store().Record(ctx, kept); err != nil || (row.Record.Fields["start_volume"].Value == 5123.0) != (step.own == "sure") {
			t.Errorf("after %q: the kept slip reads %v, %v", step.verdict, row.Record.Fields["start_volume"].Value, err)
		}
		name := string(rune('b' + i))
		if own, other := volume(name+"1", "9"), volume(name+"2", "10"); own != step.own || other != step.other {
			t.Errorf("after %q: %s at its site and %s at another, want %s and %s", step.verdict, own, other, step.own, step.other)
		}
	}
	if words, err := d.Words(ctx); err != nil || len(words) != 2 || words[1].Verdict != archive.RefuseWord || words[0].Verdict != "" {
		t.Errorf("a refused word is proposed again: %v, %v", words, err)
	}
	if err := d.Store().VerifyJournal(ctx); err != nil {
		t.Error(err)
	}
}

// TestWordsUndone: a correction that was taken back proposes nothing.
func TestWordsUndone(t *testing.T) {
	d := desk(t, t.TempDir())
	id := keepStrange(t, d, "a", "9")
	for _, x := range []archive.Decision{
		{Record: id, Action: archive.Correct, Field: "start_volume", Value: "5123 gal"},
		{Record: id, Action: archive.Undo},
	} {
		if err := d.Store().Decide(t.Context(), x); err != nil {
			t.Fatal(err)
		}
	}
	if words, err := d.Words(t.Context()); err != nil || len(words) != 0 {
		t.Errorf("proposed %v, %v", words, err)
	}
}
