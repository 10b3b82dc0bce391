package main

import (
	"regexp"
	"strings"
	"testing"

	"tankroll/record"
)

// TestWordsCommand: what a correction teaches is listed with what it changes, accepted,
// removed, and each step is told.
func TestWordsCommand(t *testing.T) {
	dir := t.TempDir()
	do := func(want int, args ...string) string {
		t.Helper()
		out, errs, code := tankroll(t, append(args, "--archive", dir)...)
		if code != want {
			t.Fatalf("%v: exit %d: %s", args, code, errs)
		}
		return out + errs
	}
	readTyped(t, dir, "strange.jpg", strings.Replace(typedSlip, "THRESHOLD", "SNOOKER..", 1), 1, func(record.Fields) {})
	if out := do(exitDone, "words"); out != "no words: corrections and confirmations have proposed none\n" {
		t.Errorf("before any decision: %q", out)
	}
	do(exitDone, "correct", "r1", "threshold=0.1", "--by", "Ada")
	listed := do(exitDone, "words")
	id := regexp.MustCompile(`^w[0-9a-f]{8}`).FindString(listed)
	want := id + `  proposed  site 9: "snooker" means part threshold (from r1, by Ada)
    with it 1 of 1 kept slips of the site say something else
    c1 tank test tank 3: threshold was 0.1 gal/h ?, would be 0.1 gal/h
`
	if id == "" || !strings.HasPrefix(listed, want) {
		t.Errorf("listed:\n%s\nwant:\n%s", listed, want)
	}
	if out := do(exitDone, "words", "accept", id, "--by", "Ben"); !strings.Contains(out, id+"  in use  site 9") {
		t.Errorf("accepted: %s", out)
	}
	if out := do(exitDone, "words", "--json"); !strings.Contains(out, `"state":"accept"`) || !strings.Contains(out, `"by":"Ben"`) {
		t.Errorf("in JSON: %s", out)
	}
	if out := do(exitDone, "words", "remove", id); !strings.Contains(out, id+"  removed") {
		t.Errorf("removed: %s", out)
	}
	if out := do(exitFailed, "words", "promote", id); !strings.Contains(out, "accept it first") {
		t.Errorf("promoted what is not in use: %s", out)
	}
	if out := do(exitFailed, "words", "accept", "w00000000"); !strings.Contains(out, "tankroll words lists them") {
		t.Errorf("accepted what nobody proposed: %s", out)
	}
	do(exitUsage, "words", "accept")
	do(exitDone, "verify")
}
