package intake

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// tree makes a folder of files, given by name and content.
func tree(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, content := range files {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func zipOf(t *testing.T, members ...string) string {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, m := range members {
		f, err := w.Create(m)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := f.Write([]byte("member " + m)); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// walk lists what Walk gives, relative to dir, with its content.
func walk(t *testing.T, dir string, paths ...string) (got, failed []string) {
	t.Helper()
	rel := func(name string) string {
		return strings.ReplaceAll(strings.TrimPrefix(name, dir+string(filepath.Separator)), string(filepath.Separator), "/")
	}
	err := Walk(context.Background(), paths, 0, func(in Input) error {
		raw, err := in.Read()
		if err != nil {
			return err
		}
		got = append(got, rel(in.Name)+" = "+string(raw))
		return nil
	}, func(name string, err error) { failed = append(failed, rel(name)+": "+err.Error()) })
	if err != nil {
		t.Fatal(err)
	}
	return got, failed
}

func TestWalkTakesPicturesOfFoldersAndZips(t *testing.T) {
	dir := tree(t, map[string]string{
		"binder/b.JPG": "b", "binder/a.png": "a", "binder/notes.txt": "no picture", "binder/.hidden.jpg": "no",
		"binder/.thumbs/x.jpg": "no", "binder/deep/c.tif": "c", "binder/pack.zip": zipOf(t, "z/2.jpg", "1.png", "read.me"),
		"named.dat": "named by the user",
	})
	got, failed := walk(t, dir, filepath.Join(dir, "binder"), filepath.Join(dir, "named.dat"))
	want := []string{"binder/a.png = a", "binder/b.JPG = b", "binder/deep/c.tif = c",
		"binder/pack.zip!1.png = member 1.png", "binder/pack.zip!z/2.jpg = member z/2.jpg", "named.dat = named by the user"}
	if d := cmp.Diff(want, got); d != "" || len(failed) > 0 {
		t.Errorf("failed %v, (-want +got):\n%s", failed, d)
	}
}

// TestWalkGoesOn: what cannot be opened is told of and never stops the rest.
func TestWalkGoesOn(t *testing.T) {
	dir := tree(t, map[string]string{"broken.zip": "PK\x03\x04 cut short", "good.jpg": "good"})
	got, failed := walk(t, dir, filepath.Join(dir, "gone.jpg"), filepath.Join(dir, "broken.zip"), filepath.Join(dir, "good.jpg"))
	if d := cmp.Diff([]string{"good.jpg = good"}, got); d != "" {
		t.Error(d)
	}
	if len(failed) != 2 || !strings.HasPrefix(failed[0], "gone.jpg: no such file") || !strings.HasPrefix(failed[1], "broken.zip: not a ZIP") {
		t.Errorf("told of %q", failed)
	}
}

func TestWalkStops(t *testing.T) {
	dir := tree(t, map[string]string{"a.jpg": "a", "b.jpg": "b"})
	stop := errors.New("stop here")
	n := 0
	err := Walk(context.Background(), []string{dir}, 0, func(Input) error { n++; return stop }, func(name string, err error) { t.Errorf("%s: %v", name, err) })
	if !errors.Is(err, stop) || n != 1 {
		t.Errorf("after %d inputs: %v", n, err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if err := Walk(ctx, []string{dir}, 0, func(Input) error { t.Error("taken after the end"); return nil }, func(name string, err error) { t.Errorf("%s: %v", name, err) }); !errors.Is(err, context.Canceled) {
		t.Errorf("with the context done: %v", err)
	}
}

// TestSizeLimit: a ZIP's member is measured while it unpacks, whatever its
// header claims.
func TestSizeLimit(t *testing.T) {
	if _, err := readLimited(endless{}, 1<<20, 0); err == nil || !strings.Contains(err.Error(), "larger than") {
		t.Errorf("an endless file: %v", err)
	}
}

type endless struct{}

func (endless) Read(p []byte) (int, error) { return len(p), nil }

// TestZipTricks: the names in a ZIP are names and no paths; a member in a secret
// writing is said to be one; and a ZIP that unpacks to many times its size ends
// there, with a word.
func TestZipTricks(t *testing.T) {
	dir := tree(t, map[string]string{"tricks.zip": zipOf(t, "../../up.jpg", "/etc/root.jpg", `c:\disk.jpg`, "a/../b.jpg")})
	got, failed := walk(t, dir, dir)
	for _, g := range got {
		if !strings.Contains(g, "tricks.zip!") {
			t.Errorf("taken as a path: %s", g)
		}
	}
	if len(got) != 4 || len(failed) != 0 {
		t.Errorf("got %v, failed %v", got, failed)
	}

	var b bytes.Buffer
	w := zip.NewWriter(&b)
	f, err := w.CreateHeader(&zip.FileHeader{Name: "+secret.jpg", Flags: 1})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.Write([]byte("?")); err != nil {
		t.Fatal(err)
	}
	const most = 1 << 20
	zeros := make([]byte, most)
	for i := range 3 * maxUnpacked / 8 {
		f, err := w.Create(fmt.Sprintf("%03d.jpg", i))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := f.Write(zeros); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	bomb := filepath.Join(tree(t, map[string]string{"bomb.zip": b.String()}), "bomb.zip")
	var took int64
	secret := 0
	var told []string
	err = Walk(t.Context(), []string{bomb}, most, func(in Input) error {
		raw, err := in.Read()
		took += int64(len(raw))
		if err != nil && strings.Contains(err.Error(), "encrypted") {
			secret++
		}
		return nil
	}, func(_ string, err error) { told = append(told, err.Error()) })
	if err != nil || took > maxUnpacked*most/8+most || took < most || len(told) != 1 || !strings.Contains(told[0], "times its size") {
		t.Errorf("%d bytes unpacked, told %q, %v", took, told, err)
	}
	if secret != 1 {
		t.Errorf("%d members are said to be encrypted, want 1", secret)
	}
}

// TestWalkFolders: the folders between the path that was given and a file, of a
// ZIP too.
func TestWalkFolders(t *testing.T) {
	dir := tree(t, map[string]string{"top.jpg": "x", "114/2019/a.jpg": "x", "115/2020.zip": zipOf(t, "03/b.jpg"), "own.zip": zipOf(t, "c.jpg")})
	got := map[string]string{}
	note := func(in Input) error {
		got[strings.TrimPrefix(filepath.ToSlash(in.Name), filepath.ToSlash(dir)+"/")] = strings.Join(in.Folders, "/")
		return nil
	}
	fail := func(name string, err error) { t.Errorf("%s: %v", name, err) }
	if err := Walk(t.Context(), []string{dir}, 0, note, fail); err != nil {
		t.Fatal(err)
	}
	want := map[string]string{"top.jpg": "", "114/2019/a.jpg": "114/2019", "115/2020.zip!03/b.jpg": "115/2020/03", "own.zip!c.jpg": "own"}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	clear(got)
	if err := Walk(t.Context(), []string{filepath.Join(dir, "115/2020.zip")}, 0, note, fail); err != nil || got["115/2020.zip!03/b.jpg"] != "03" {
		t.Errorf("%v, %v", got, err)
	}
}
