package export

import (
	"cmp"
	"context"
	_ "embed"
	"encoding/csv"
	"html/template"
	"image"
	"image/jpeg"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"tankroll/archive"
	"tankroll/record"
)

//go:embed pages.html
var pagesText string

// pages are the templates of the folder's pages.
var pages = template.Must(template.New("pages").Funcs(template.FuncMap{"words": words, "when": when}).Parse(pagesText))

// view is one record as its page shows it.
type view struct {
	ID, Title, When, Site, State string
	Fields                       []fieldView
	Doubts                       []string // about the whole record
	Note, Followed               string
	Parts                        []string // parts of pictures that it stands on
	Originals                    []picture
	Up                           string // from the page to the folder
}

type fieldView struct {
	Name, Value, Printed string
	Doubtful             bool
	Why                  []string
}

func (f *folder) view(ctx context.Context, g *group, r archive.Row) (view, error) {
	v := view{ID: r.ID, Title: title(r.Record), When: when(r.At), Site: cmp.Or(r.SiteName, r.Site, "site not known"), Note: r.Note, Followed: r.Followed, Up: "../../../"}
	switch {
	case r.ByHand:
		v.State = "typed in from paper by a person"
	case r.Confirmed:
		v.State = "confirmed by a person"
	case r.Sure():
		v.State = "read with nothing in doubt"
	default:
		v.State = "doubtful: look at the picture"
	}
	why := map[string][]string{}
	for _, d := range r.Record.Doubts {
		why[d.Field] = append(why[d.Field], d.Why)
	}
	v.Doubts = why[""]
	for _, name := range r.Record.FieldNames() {
		v.Fields = append(v.Fields, viewField(name, r.Record.Fields[name], why[name]))
	}
	if p := r.Header.PrintedAt; p != nil {
		v.Fields = append(v.Fields, viewField("printed_at", *p, nil))
	}
	if r.ByHand {
		return v, nil
	}
	areas := r.Record.Areas()
	if len(areas) == 0 {
		areas = []record.Box{{}}
	}
	for n, box := range areas {
		part, err := f.part(ctx, g, r, n, box)
		if err != nil {
			return v, err
		}
		if part != "" {
			v.Parts = append(v.Parts, part)
		}
		if err := f.shows(ctx, &v, r.On(box).Capture); err != nil {
			return v, err
		}
	}
	if len(r.With) > 0 { // other pictures of it, of which perhaps nothing was needed
		for _, p := range r.Parts {
			if err := f.shows(ctx, &v, p.Capture); err != nil {
				return v, err
			}
		}
	}
	return v, nil
}

// shows adds an original to those that a record's page leads to.
func (f *folder) shows(ctx context.Context, v *view, capture string) error {
	p, err := f.original(ctx, capture)
	if err == nil && !slices.Contains(v.Originals, p) {
		v.Originals = append(v.Originals, p)
	}
	return err
}

func viewField(name string, f record.Field, why []string) fieldView {
	v := fieldView{Name: words(name), Value: f.String(), Doubtful: !f.Sure, Why: why}
	if n, ok := f.Number(); ok {
		v.Value = strconv.FormatFloat(n, 'f', -1, 64)
	}
	if f.Unit != "" {
		v.Value += " " + strings.NewReplacer("degF", "°F", "degC", "°C").Replace(f.Unit)
	}
	switch {
	case f.Origin == record.Entered:
		v.Why = append(v.Why, "entered by a person")
	case f.Origin == record.Repaired, !f.Sure && len(why) == 0:
		v.Printed = f.Text
	}
	v.Value = when(v.Value)
	return v
}

// title names a record: what it is, of what, and how it ended.
func title(r record.Record) string {
	parts := []string{words(string(r.Kind))}
	for _, s := range []string{r.Equipment(), r.Text("product"), r.Text("event"), words(r.Text("state")), words(r.Text("result"))} {
		if s != "" {
			parts = append(parts, s)
		}
	}
	s := strings.Join(parts, " · ")
	return strings.ToUpper(s[:1]) + s[1:]
}

func words(name string) string { return strings.ReplaceAll(name, "_", " ") }

// when writes a time for people, and leaves anything else as it is.
func when(at string) string {
	if len(at) > 10 && at[4] == '-' && at[10] == 'T' {
		return at[:10] + " " + at[11:]
	}
	return at
}

// Sites are the groups by their site, for the first page.
func (f *folder) Sites() [][]*group {
	var out [][]*group
	for _, g := range f.groups {
		if n := len(out); n > 0 && out[n-1][0].Site == g.Site {
			out[n-1] = append(out[n-1], g)
			continue
		}
		out = append(out, []*group{g})
	}
	return out
}

// Total is the number of records, Pictures that of pictures.
func (f *folder) Total() int64 { return f.total }

// Pictures is the number of pictures.
func (f *folder) Pictures() int { return len(f.copied) }

// Today is the day on which the folder was made.
func (f *folder) Today() string { return time.Now().Format("2006-01-02") }

// captures are the pictures in the folder, oldest first.
func (f *folder) captures() []string {
	return slices.SortedFunc(maps.Keys(f.copied), func(a, b string) int {
		return cmp.Or(cmp.Compare(len(a), len(b)), strings.Compare(a, b))
	})
}

// pictures writes the list of pictures.
func (f *folder) pictures(ctx context.Context, w io.Writer) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	if err := out.Write([]string{"capture", "path", "file", "sha256", "bytes", "pages", "site", "kept_at"}); err != nil {
		return err
	}
	for _, id := range f.captures() {
		c, err := f.src.capture(ctx, id)
		if err != nil {
			return err
		}
		err = out.Write([]string{id, f.copied[id].Path, text(c.File), c.SHA256, strconv.FormatInt(c.Size, 10), strconv.Itoa(c.Pages), text(c.Site), c.AddedAt.Format(time.RFC3339)})
		if err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

func writeJPEG(w io.Writer, img image.Image) error {
	return jpeg.Encode(w, img, &jpeg.Options{Quality: 80})
}
