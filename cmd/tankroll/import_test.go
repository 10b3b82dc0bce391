package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"tankroll/archive"
	"tankroll/fixtures"
	"tankroll/internal/intake"
	"tankroll/record"
)

// folder makes a folder of n small pictures without print, no two alike.
func folder(t *testing.T, n int) string {
	t.Helper()
	dir := t.TempDir()
	for i := range n {
		img := image.NewGray(image.Rect(0, 0, 24, 24))
		for k := range img.Pix {
			img.Pix[k] = 230
		}
		img.SetGray(i%24, i/24, color.Gray{Y: 229})
		var b bytes.Buffer
		if err := png.Encode(&b, img); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("%03d.png", i)), b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// child starts the program as a process of its own.
func child(t *testing.T, out *bytes.Buffer, args ...string) *exec.Cmd {
	t.Helper()
	cmd := exec.Command(os.Args[0], args...)
	cmd.Env = append(os.Environ(), asProgram+"=1")
	cmd.Stdout, cmd.Stderr = out, out
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	return cmd
}

// checkAll: every picture of the folder is in the archive once, read, and whole.
func checkAll(t *testing.T, dir string, n int) {
	t.Helper()
	s, err := archive.Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	list, err := s.Captures(t.Context())
	if err != nil || len(list) != n {
		t.Errorf("%d captures of %d pictures, %v", len(list), n, err)
	}
	for _, c := range list {
		if !c.Read || c.Pages != 1 {
			t.Errorf("%s (%s) is not read", c.ID, c.File)
		}
	}
	if waits, err := s.Queue().Len(t.Context()); err != nil || waits != 0 {
		t.Errorf("%d still wait, %v", waits, err)
	}
	if bad, err := s.Check(t.Context()); err != nil || len(bad) > 0 {
		t.Errorf("%v %v", bad, err)
	}
}

// TestKilledImport kills an import at random moments: the same command goes on,
// and in the end every picture is there once and read.
func TestKilledImport(t *testing.T) {
	const n = 60
	pictures, dir := folder(t, n), filepath.Join(t.TempDir(), "archive")
	seed := time.Now().UnixNano()
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewSource(seed))
	kills := 3
	if v, err := strconv.Atoi(os.Getenv("TANKROLL_TEST_KILLS")); err == nil {
		kills = v
	}
	for range kills {
		var out bytes.Buffer
		cmd := child(t, &out, "add", "--json", pictures, "--archive", dir)
		time.Sleep(time.Duration(60+rng.Intn(500)) * time.Millisecond)
		cmd.Process.Kill()
		cmd.Wait()
	}
	out, _, code := tankroll(t, "add", "--json", pictures, "--archive", dir)
	if code != exitFailed || strings.Count(out, "\n") != n { // nothing is printed on them
		t.Errorf("exit %d, %d documents of %d pictures", code, strings.Count(out, "\n"), n)
	}
	checkAll(t, dir, n)
}

// TestCtrlC: an import that is interrupted says so, writes its report and gives
// back what it had taken: the next one need not wait.
func TestCtrlC(t *testing.T) {
	const n = 200
	pictures, dir, report := folder(t, n), filepath.Join(t.TempDir(), "archive"), filepath.Join(t.TempDir(), "r.json")
	var out bytes.Buffer
	cmd := child(t, &out, "add", "--json", pictures, "--archive", dir, "--report", report)
	for deadline := time.Now().Add(20 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		if s, err := archive.Open(t.Context(), dir); err == nil {
			list, err := s.Captures(t.Context())
			s.Close()
			if err == nil && len(list) > 5 && list[2].Read || time.Now().After(deadline) {
				break
			}
		}
	}
	if err := cmd.Process.Signal(syscall.SIGINT); err != nil {
		t.Fatal(err)
	}
	err := cmd.Wait()
	if cmd.ProcessState.ExitCode() != exitFailed || !strings.Contains(out.String(), "run the same command again") {
		t.Fatalf("%v:\n%s", err, out.String())
	}
	raw, err := os.ReadFile(report)
	var r intake.Report
	if err != nil || json.Unmarshal(raw, &r) != nil || !r.Interrupted || len(r.Files) == 0 || len(r.Files) >= n {
		t.Errorf("the report: %v, interrupted %v, %d files", err, r.Interrupted, len(r.Files))
	}
	began := time.Now()
	if out, _, _ := tankroll(t, "add", "--json", pictures, "--archive", dir); strings.Count(out, "\n") != n {
		t.Errorf("%d documents of %d", strings.Count(out, "\n"), n)
	}
	t.Logf("the rest took %v", time.Since(began))
	checkAll(t, dir, n)
}

// TestAddTells: what add says for people and for scripts about a folder with bad
// pictures among good ones, and what todo lists afterwards.
func TestAddTells(t *testing.T) {
	dir, where := t.TempDir(), filepath.Join(t.TempDir(), "archive")
	bad, err := fixtures.BadFiles()
	if err != nil {
		t.Fatal(err)
	}
	good := filepath.Join(dir, "good.jpg")
	if err := os.Rename(kept(t, "0004-sensor-status-may"), good); err != nil {
		t.Fatal(err)
	}
	files := 1
	for _, b := range bad {
		if b.Expect == "error" {
			files++
			if err := os.WriteFile(filepath.Join(dir, "a-"+b.Name+".jpg"), b.Raw, 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	csv := filepath.Join(t.TempDir(), "r.csv")
	out, errs, code := tankroll(t, "add", dir, "--report", csv, "--folders", "{site}", "--archive", where)
	for _, want := range []string{fmt.Sprintf("%d files: 1 read with doubts, %d failed", files, files-1), "do not fit the pattern", "  failed  ", "tankroll todo", "kept as c"} {
		if !strings.Contains(out, want) {
			t.Errorf("%q is not said:\n%s", want, out)
		}
	}
	if code != exitFailed || strings.Count(errs, "\n") != files-1 {
		t.Errorf("exit %d:\n%s", code, errs)
	}
	if raw, err := os.ReadFile(csv); err != nil || bytes.Count(raw, []byte("\n")) != files+1 {
		t.Errorf("the report, %v:\n%s", err, raw)
	}
	out, _, code = tankroll(t, "todo", "--json", "--archive", where)
	whys := map[string]int{}
	for l := range strings.Lines(out) {
		var x intake.Todo
		if err := json.Unmarshal([]byte(l), &x); err != nil {
			t.Fatal(err)
		}
		whys[x.Why]++
	}
	if code != exitDone || whys[intake.TodoDoubtful] != 1 || whys[intake.TodoFailed] == 0 || whys[intake.TodoWaiting] != 0 {
		t.Errorf("exit %d, todo %v", code, whys)
	}
	out, _, _ = tankroll(t, "add", "--json", good, "--archive", where)
	var p record.Page
	if err := json.Unmarshal([]byte(out), &p); err != nil || !p.Already || p.Capture == "" {
		t.Errorf("added again, %v: %s", err, out)
	}
}

func TestAddUsage(t *testing.T) {
	for _, args := range [][]string{{"--report", "r.txt"}, {"--folders", "{shop}"}, {"--site", "9", "--folders", "{site}"}, {"--jobs", "-1"}, {"--memory", "1"}} {
		if _, errs, code := tankroll(t, append([]string{"add", t.TempDir(), "--archive", t.TempDir()}, args...)...); code != exitUsage || strings.Count(errs, "\n") != 1 {
			t.Errorf("%v: exit %d, %q", args, code, errs)
		}
	}
	if _, errs, code := tankroll(t, "add", "--archive", t.TempDir()); code != exitFailed || !strings.Contains(errs, "nothing waits") {
		t.Errorf("exit %d, %q", code, errs)
	}
}
