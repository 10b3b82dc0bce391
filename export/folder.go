package export

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"image"
	"io"
	"iter"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"tankroll/archive"
	"tankroll/internal/whole"
	"tankroll/record"
)

// FolderOptions say what Folder writes.
type FolderOptions struct {
	Filter archive.Filter

	// Cut gives the part of a picture on which a record stands, upright, to be
	// shown beside its fields. Without it the pages lead to the pictures only.
	Cut func(ctx context.Context, capture string, page int, box record.Box, turn int) (image.Image, error)

	Progress func(done, total int64) // called with the records done
}

// Folder fills a new folder that needs no program but a browser and a
// spreadsheet: index.html, for each site and year a page with every record
// beside its part of the picture, the same records as records.jsonl and CSV, and
// the pictures themselves as they came in. All links are relative; there are no
// scripts. Without a filter the pictures on which nothing was read are there too.
func Folder(ctx context.Context, s *archive.Store, dir string, o FolderOptions) (n int, err error) {
	err = whole.Dir(dir, func(temp string) error {
		f := &folder{s: s, o: o, dir: temp, src: &source{store: s}, copied: map[string]picture{}}
		if err := f.group(ctx); err != nil {
			return err
		}
		for _, g := range f.groups {
			if err := f.year(ctx, g); err != nil {
				return err
			}
		}
		n = int(f.done)
		return f.finish(ctx)
	})
	return n, wrap(dir, err)
}

// folder is one that is being filled.
type folder struct {
	s      *archive.Store
	o      FolderOptions
	dir    string
	src    *source
	groups []*group
	copied map[string]picture // by capture
	done   int64
	total  int64
}

// group is one year of one site.
type group struct {
	Site, Name string
	Year       string // "" when the records do not tell
	Dir        string // below the folder, with slashes
	ids        []string
}

// Count is the number of its records.
func (g *group) Count() int { return len(g.ids) }

// picture is an original in the folder.
type picture struct {
	Path string // below the folder, with slashes
	File string // the name it came under
	Sum  string
}

// group sorts the records by site and year; it keeps their ids alone.
func (f *folder) group(ctx context.Context) error {
	at := map[[2]string]*group{}
	for r, err := range f.s.AllRows(ctx, once(f.o.Filter)) {
		if err != nil {
			return err
		}
		year := r.At[:min(len(r.At), 4)]
		if !plainYear.MatchString(year) {
			year = ""
		}
		key := [2]string{r.Site, year}
		g := at[key]
		if g == nil {
			g = &group{Site: r.Site, Year: year}
			at[key] = g
			f.groups = append(f.groups, g)
		}
		if g.Name == "" && r.SiteName != r.Site {
			g.Name = r.SiteName
		}
		g.ids = append(g.ids, r.ID)
		f.total++
	}
	slices.SortFunc(f.groups, func(a, b *group) int {
		return strings.Compare(a.Site+"\x00"+a.Year, b.Site+"\x00"+b.Year)
	})
	taken := map[string]bool{}
	slugs := map[string]string{}
	for _, g := range f.groups {
		slug, ok := slugs[g.Site]
		if !ok {
			slug = slugOf(g.Site, taken)
			slugs[g.Site] = slug
		}
		g.Dir = "sites/" + slug + "/" + cmp.Or(g.Year, "no-date")
	}
	return nil
}

var (
	plainYear = regexp.MustCompile(`^[0-9]{4}$`)
	notInSlug = regexp.MustCompile(`[^a-z0-9]+`)
)

// slugOf makes a site's name fit for a folder on any system.
func slugOf(site string, taken map[string]bool) string {
	base := strings.Trim(notInSlug.ReplaceAllString(strings.ToLower(site), "-"), "-")
	if base == "" {
		base = "not-known"
	}
	if len(base) > 40 {
		base = base[:40]
	}
	base = "site-" + base
	slug := base
	for n := 2; taken[slug]; n++ {
		slug = fmt.Sprintf("%s-%d", base, n)
	}
	taken[slug] = true
	return slug
}

// chunk is how many records are taken from the archive at once.
const chunk = 200

// rows gives the records of a group.
func (f *folder) rows(ctx context.Context, g *group) iter.Seq2[archive.Row, error] {
	return func(yield func(archive.Row, error) bool) {
		for ids := range slices.Chunk(g.ids, chunk) {
			rows, err := f.s.Rows(ctx, archive.Filter{IDs: ids, Rejected: f.o.Filter.Rejected})
			if err != nil {
				yield(archive.Row{}, err)
				return
			}
			for _, r := range rows {
				if !yield(r, nil) {
					return
				}
			}
		}
	}
}

// year writes one year of one site.
func (f *folder) year(ctx context.Context, g *group) error {
	dir := filepath.Join(f.dir, filepath.FromSlash(g.Dir))
	if err := os.MkdirAll(filepath.Join(dir, "parts"), 0o755); err != nil {
		return err
	}
	if _, err := tables(ctx, f.s, dir, f.rows(ctx, g)); err != nil {
		return err
	}
	err := create(filepath.Join(dir, "records.jsonl"), func(w io.Writer) error {
		_, err := lines(ctx, f.s, w, f.rows(ctx, g))
		return err
	})
	if err != nil {
		return err
	}
	return create(filepath.Join(dir, "index.html"), func(w io.Writer) error {
		if err := pages.ExecuteTemplate(w, "year-top", g); err != nil {
			return err
		}
		for r, err := range f.rows(ctx, g) {
			if err != nil {
				return err
			}
			v, err := f.view(ctx, g, r)
			if err != nil {
				return err
			}
			if err := pages.ExecuteTemplate(w, "record", v); err != nil {
				return err
			}
			f.done++
			if f.o.Progress != nil {
				f.o.Progress(f.done, f.total)
			}
		}
		return pages.ExecuteTemplate(w, "bottom", nil)
	})
}

// original copies a picture into the folder, once.
func (f *folder) original(ctx context.Context, id string) (picture, error) {
	if p, ok := f.copied[id]; ok {
		return p, nil
	}
	c, err := f.src.capture(ctx, id)
	if err != nil {
		return picture{}, err
	}
	raw, err := f.s.Original(ctx, id)
	if err != nil {
		return picture{}, err
	}
	p := picture{"originals/" + id + filepath.Ext(f.s.OriginalPath(c)), c.File, c.SHA256}
	path := filepath.Join(f.dir, filepath.FromSlash(p.Path))
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return picture{}, err
	}
	err = create(path, func(w io.Writer) error {
		_, err := w.Write(raw)
		return err
	})
	f.copied[id] = p
	return p, err
}

// part writes the part of a picture that a record stands on and returns its name
// below the group's folder; "" when it cannot be shown, which loses nothing: the
// picture itself is there.
func (f *folder) part(ctx context.Context, g *group, r archive.Row, n int, box record.Box) (string, error) {
	if f.o.Cut == nil || box.IsZero() {
		return "", nil
	}
	on := r.On(box)
	img, err := f.o.Cut(ctx, on.Capture, on.Page, on.Across(box), on.Turn)
	if err != nil {
		return "", ctx.Err()
	}
	name := fmt.Sprintf("parts/%s-%d.jpg", r.ID, n+1)
	return name, create(filepath.Join(f.dir, filepath.FromSlash(g.Dir), filepath.FromSlash(name)), func(w io.Writer) error {
		return writeJPEG(w, img)
	})
}

// finish writes what stands at the top: the list of sites and of pictures.
func (f *folder) finish(ctx context.Context) error {
	all := f.o.Filter.Site == "" && f.o.Filter.Kind == "" && f.o.Filter.From == "" && f.o.Filter.To == ""
	if all {
		for c, err := range f.s.AllCaptures(ctx) {
			if err != nil {
				return err
			}
			if _, err := f.original(ctx, c.ID); err != nil {
				return err
			}
		}
	}
	if err := create(filepath.Join(f.dir, "pictures.csv"), func(w io.Writer) error { return f.pictures(ctx, w) }); err != nil {
		return err
	}
	sums := func(w io.Writer) error {
		var err error
		for _, id := range f.captures() {
			_, e := fmt.Fprintf(w, "%s  %s\n", f.copied[id].Sum, f.copied[id].Path)
			err = errors.Join(err, e)
		}
		return err
	}
	if err := create(filepath.Join(f.dir, "SHA256SUMS"), sums); err != nil {
		return err
	}
	return create(filepath.Join(f.dir, "index.html"), func(w io.Writer) error {
		return pages.ExecuteTemplate(w, "index", f)
	})
}
