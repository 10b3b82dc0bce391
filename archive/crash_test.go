package archive

import (
	"bufio"
	"context"
	"fmt"
	"math/rand"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"

	"tankroll/internal/memdisk"
)

// TestMain lets the test program be the child that gets killed.
func TestMain(m *testing.M) {
	if dir := os.Getenv("ARCHIVE_TEST_CHILD"); dir != "" {
		if err := writeForEver(dir); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	memdisk.Use()
	os.Exit(m.Run())
}

// writeForEver keeps, reads and decides, and says on standard output what it
// was promised.
func writeForEver(dir string) error {
	ctx := context.Background()
	s, err := Open(ctx, dir)
	if err != nil {
		return err
	}
	start := time.Now().UnixNano()
	for i := 0; ; i++ {
		text := fmt.Sprintf("picture %d %d", start, i)
		c, _, err := s.Keep(ctx, "a.jpg", []byte(text), "")
		if err != nil {
			return err
		}
		fmt.Printf("kept %s %s\n", c.ID, text)
		if err := s.SaveReadings(ctx, c.ID, []Reading{tankTest("1", "2025-01-02T03:04", "fail"), {Page: 2}}); err != nil {
			return err
		}
		fmt.Printf("read %s\n", c.ID)
		rows, err := s.Rows(ctx, Filter{Capture: c.ID})
		if err != nil || len(rows) != 1 {
			return fmt.Errorf("rows: %v %v", rows, err)
		}
		if err := s.Decide(ctx, Decision{Record: rows[0].ID, Action: Correct, Field: "result", Value: "pass"}); err != nil {
			return err
		}
		fmt.Printf("corrected %s\n", rows[0].ID)
		if err := joinTwo(ctx, s, fmt.Sprintf("halves %d %d", start, i)); err != nil {
			return err
		}
	}
}

// joinTwo keeps two pictures of one slip, reads each and joins them.
func joinTwo(ctx context.Context, s *Store, text string) error {
	var ids []string
	for i, name := range []string{"upper", "lower"} {
		c, _, err := s.Keep(ctx, name, []byte(text+name), "")
		if err != nil {
			return err
		}
		if err := s.SaveReadings(ctx, c.ID, []Reading{half([]string{"1", "2"}[i], []int{100, 500}[i]), {Page: 2}}); err != nil {
			return err
		}
		ids = append(ids, c.ID)
	}
	all := joinedHalves(ids[0], ids[1])
	for i := range all {
		all[i].Readings = append(all[i].Readings, Reading{Page: 2})
	}
	if err := s.SaveTogether(ctx, all...); err != nil {
		return err
	}
	fmt.Printf("joined %s %s\n", ids[0], ids[1])
	return nil
}

// checkHalves: two pictures are joined on both sides or read each on its own;
// their two records are there either way.
func checkHalves(t *testing.T, s *Store, promised map[string]string) {
	t.Helper()
	ctx := context.Background()
	list, err := s.Captures(ctx)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range list {
		if c.File != "upper" || !c.Read {
			continue
		}
		lower := name("c", mustNumber(t, c.ID)+1)
		a, err := s.Slip(ctx, c.ID, 1, 0)
		if err != nil {
			t.Fatal(err)
		}
		b, err := s.Slip(ctx, lower, 1, 0)
		if err != nil { // killed before the second was read
			if promised[c.ID] != "" || a.Whole != nil {
				t.Errorf("%s and %s: %v", c.ID, lower, err)
			}
			continue
		}
		if joined := a.Whole != nil; joined != (b.Into != nil) || !joined && promised[c.ID] != "" {
			t.Errorf("%s and %s are joined on one side, or not although that was promised: %+v %+v", c.ID, lower, a.Links, b.Links)
		}
		rows := 0
		for _, id := range []string{c.ID, lower} {
			r, err := s.Rows(ctx, Filter{Capture: id})
			if err != nil {
				t.Fatal(err)
			}
			rows += len(r)
		}
		if rows != 2 {
			t.Errorf("%s and %s have %d records, want 2", c.ID, lower, rows)
		}
	}
}

func mustNumber(t *testing.T, id string) int64 {
	t.Helper()
	n, err := number("c", id)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// TestKilled kills a writing process at random moments: what it was promised is
// there and whole, and the archive can be used on: 200 times where time is given,
// else a few. ARCHIVE_TEST_KILLS sets how often, ARCHIVE_TEST_SEED when.
func TestKilled(t *testing.T) {
	kills := int64(4)
	if long() {
		kills = 200
	}
	kills = number64(t, "ARCHIVE_TEST_KILLS", kills)
	seed := number64(t, "ARCHIVE_TEST_SEED", time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewSource(seed))
	var dir string
	var promised []string
	all := 0
	for n := range kills {
		if n%anew == 0 {
			dir, promised = t.TempDir(), nil
		}
		said := runAndKill(t, dir, time.Duration(20+rng.Intn(150))*time.Millisecond)
		promised = append(promised, said...)
		all += len(said)
		checkPromises(t, dir, promised)
	}
	if all == 0 {
		t.Error("the child never got to write anything")
	}
	t.Logf("%d kills, %d promises", kills, all)
}

// anew is after how many kills an archive has grown so large that looking at all of
// it takes most of the time; a new one is begun then.
const anew = 20

func number64(t *testing.T, env string, otherwise int64) int64 {
	t.Helper()
	v := os.Getenv(env)
	if v == "" {
		return otherwise
	}
	n, err := strconv.ParseInt(v, 10, 64)
	if err != nil {
		t.Fatalf("%s: %v", env, err)
	}
	return n
}

func runAndKill(t *testing.T, dir string, after time.Duration) []string {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), "ARCHIVE_TEST_CHILD="+dir)
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	var lines []string
	in := bufio.NewScanner(out)
	timer := time.AfterFunc(time.Minute, func() { cmd.Process.Kill() })
	defer timer.Stop()
	for in.Scan() {
		if len(lines) == 0 { // count from the first promise: starting takes how long it takes
			time.AfterFunc(after, func() { cmd.Process.Kill() })
		}
		lines = append(lines, in.Text())
	}
	if err := cmd.Wait(); err == nil || !strings.Contains(err.Error(), "killed") {
		t.Fatalf("the child must die by the kill: %v", err)
	}
	return lines
}

func checkPromises(t *testing.T, dir string, promised []string) {
	t.Helper()
	ctx := context.Background()
	s, err := Open(ctx, dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := allWhole(ctx, s); err != nil {
		t.Fatalf("after a kill: %v", err)
	}
	joined := map[string]string{}
	for _, p := range promised {
		what, rest, _ := strings.Cut(p, " ")
		id, text, _ := strings.Cut(rest, " ")
		switch what {
		case "joined":
			joined[id] = text
		case "kept":
			if raw, err := s.Original(ctx, id); err != nil || string(raw) != text {
				t.Errorf("%s: %q %v", p, raw, err)
			}
		case "read":
			c, err := s.Capture(ctx, id)
			if err != nil || !c.Read || c.Pages != 2 {
				t.Errorf("%s: %+v %v", p, c, err)
			}
		case "corrected":
			if r, err := s.Record(ctx, id); err != nil || r.Record.Text("result") != "pass" {
				t.Errorf("%s: %+v %v", p, r, err)
			}
		}
	}
	checkHalves(t, s, joined)
	unread, err := s.Unread(ctx)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range unread { // kept but not read: can be read now
		raw, err := s.Original(ctx, c.ID)
		if err != nil || len(raw) == 0 {
			t.Errorf("unread %s: %v", c.ID, err)
		}
		if c.File != "a.jpg" {
			continue // the other half tells whether it was read
		}
		if err := s.SaveReadings(ctx, c.ID, []Reading{tankTest("1", "2025-01-02T03:04", "pass"), {Page: 2}}); err != nil {
			t.Error(err)
		}
	}
}
