// Package lint holds the rules of the tree that no compiler checks, as tests.
package lint

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// allowed says which rooms of the project each room may import, read top to
// bottom as the pipeline. A room is a top-level folder, or a folder below
// internal. Sub-packages of one room may use each other. Test files are held
// to the same table, with testing tools and fixtures added.
var allowed = map[string][]string{
	"record":           {},
	"ocr":              {"record", "internal/gemm", "internal/half"},
	"parse":            {"record", "internal/gemm", "internal/half"}, // never ocr: the grammar must run on typed text
	"archive":          {"record", "internal/whole"},
	"index":            {"record", "archive", "parse"}, // parse: the lexicon that questions share with slips
	"comply":           {"record"},
	"internal/intake":  {"record", "ocr", "parse", "archive", "index", "comply"},
	"web":              {"record", "archive", "index", "comply", "internal/intake"},
	"cmd":              {"record", "ocr", "parse", "archive", "index", "comply", "export", "internal/intake", "web"},
	"fixtures":         {"record"},
	"export":           {"record", "archive", "internal/whole"},
	"internal/whole":   {},
	"internal/gemm":    {},
	"internal/half":    {},
	"internal/golden":  {},
	"internal/memdisk": {},
	"internal/timeup":  {},
	"internal/score":   {"record"},
	"internal/bench":   {"record", "fixtures", "internal/score", "ocr", "parse"},
	"internal/scale":   {"record", "archive", "index"},
	"internal/lint":    {},
}

// forTests may be imported by the test files of every room.
var forTests = []string{"record", "fixtures", "internal/golden", "internal/memdisk", "internal/score", "internal/timeup"}

// testsMay adds what the test files of a room may import besides.
var testsMay = map[string][]string{
	"web":             {"ocr"},   // its test program is also the recognition worker
	"archive":         {"index"}, // its benchmark indexes anew what it has filled
	"internal/intake": {},
}

const module = "tankroll"

// TestImports reads the files itself: a test that asked `go list` would be
// served a cached pass after a forbidden import was planted, because go test
// only knows of files that the test opens.
func TestImports(t *testing.T) {
	root := filepath.Join("..", "..")
	seen := map[string]bool{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if name := d.Name(); name != ".." && (strings.HasPrefix(name, ".") || name == "testdata") {
				return filepath.SkipDir
			}
			return nil
		}
		if !strings.HasSuffix(path, ".go") {
			return nil
		}
		rel, err := filepath.Rel(root, path)
		if err != nil {
			return err
		}
		from := room(filepath.ToSlash(filepath.Dir(rel)))
		seen[from] = true
		may, ok := allowed[from]
		if !ok {
			t.Errorf("%s: room %q is not in the table of allowed imports", rel, from)
			return nil
		}
		if strings.HasSuffix(path, "_test.go") {
			may = slices.Concat(may, forTests, testsMay[from])
		}
		for _, to := range importsOf(t, path) {
			if to != from && !slices.Contains(may, to) {
				t.Errorf("%s: %s must not import %s", rel, from, to)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for r := range allowed {
		if !seen[r] {
			t.Errorf("the table of allowed imports names %q, which has no Go files", r)
		}
	}
}

// room names the room that a folder belongs to.
func room(dir string) string {
	parts := strings.Split(dir, "/")
	if parts[0] == "internal" && len(parts) > 1 {
		return "internal/" + parts[1]
	}
	return parts[0]
}

// importsOf lists the project's rooms that a file imports.
func importsOf(t *testing.T, path string) []string {
	src, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	f, err := parser.ParseFile(token.NewFileSet(), path, src, parser.ImportsOnly)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, im := range f.Imports {
		p, err := strconv.Unquote(im.Path.Value)
		if err != nil {
			t.Fatal(err)
		}
		if rest, ok := strings.CutPrefix(p, module+"/"); ok {
			out = append(out, room(rest))
		}
	}
	return out
}
