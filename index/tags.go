package index

import (
	"context"
	"math"
	"slices"
	"strings"

	"tankroll/archive"
	"tankroll/index/query"
	"tankroll/index/text"
	"tankroll/record"
)

// Tags are short facts about a record, each a name and a value. They share one
// field of the index, so that a new one needs no new field.
const (
	tagMethod = "method="
	tagMark   = "mark="
	tagPlace  = "place=" // of a sensor
	tagSite   = "site="  // number and printed name
)

// tagsOf are the tags of a record.
func tagsOf(r archive.Row) []string {
	var out []string
	if m := r.Record.Text("method"); m != "" {
		out = append(out, tagMethod+m)
	}
	for _, m := range marksOf(r) {
		out = append(out, tagMark+m)
	}
	for _, p := range placesNamed(r) {
		out = append(out, tagPlace+p)
	}
	if r.SiteSure && r.Site != "" {
		out = append(out, tagSite+r.Site+"\t"+archive.SiteKey(r.SiteName))
	}
	return out
}

// marksOf says what people did with a record, and whether it is sure.
func marksOf(r archive.Row) []string {
	either := func(is bool, yes, no string) string {
		if is {
			return yes
		}
		return no
	}
	out := []string{either(r.Sure(), "sure", "doubtful"), either(r.Confirmed, "confirmed", "not_confirmed"),
		either(r.Followed != "", "followed_up", "not_followed_up")}
	if r.ByHand {
		out = append(out, "by_hand")
	} else if slices.ContainsFunc(r.Record.FieldNames(), func(name string) bool { return r.Record.Fields[name].Origin == record.Entered }) || correctedHead(r.Header) {
		out = append(out, "corrected")
	}
	return out
}

func correctedHead(h record.Header) bool {
	for _, f := range []*record.Field{h.Site, h.SiteNumber, h.Address, h.PrintedAt} {
		if f != nil && f.Origin == record.Entered {
			return true
		}
	}
	return false
}

// placesNamed are the places that a sensor's or an alarm's own labels name.
func placesNamed(r archive.Row) []string {
	if r.Record.Kind != record.SensorStatus && r.Record.Kind != record.Alarm {
		return nil
	}
	label := text.Fold(strings.ReplaceAll(r.Record.Text("location")+" "+r.Record.Text("event"), "-", " "))
	return query.PlacesIn(label, text.Alike)
}

// numbersOf are a record's numbers in US units.
func numbersOf(r archive.Row) map[string]float64 {
	out := map[string]float64{}
	for _, name := range r.Record.FieldNames() {
		if v, ok := numberOf(r, name); ok {
			out[name] = v
		}
	}
	return out
}

// numberOf is a number of a record in US units, of a loss without its sign.
func numberOf(r archive.Row, name string) (float64, bool) {
	v, ok := signedOf(r, name)
	if isLoss(name) {
		v = math.Abs(v)
	}
	return v, ok
}

// isLoss names what slips write with a minus or without: a leak rate, and what is
// over or short.
func isLoss(name string) bool { return name == "leak_rate" || name == "over_short" }

// signedOf is a number of a record in US units as printed.
func signedOf(r archive.Row, name string) (float64, bool) {
	f, ok := r.Record.Fields[name]
	v, num := f.Value.(float64)
	if !ok || !num || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, false
	}
	return query.InUS(v, f.Unit), true
}

// sites are the sites that the index knows, by number.
func sites(ctx context.Context, v view) ([]query.Site, error) {
	list, err := values(ctx, v, "tag")
	if err != nil {
		return nil, err
	}
	named := map[string]bool{}
	var out []query.Site
	for _, t := range list {
		if !strings.HasPrefix(t, tagSite) {
			continue
		}
		key, name, _ := strings.Cut(strings.TrimPrefix(t, tagSite), "\t")
		s := query.Site{Number: key, Name: name}
		if strings.Trim(key, "0123456789") != "" && !strings.ContainsAny(key, "0123456789") { // known by its name alone
			s = query.Site{Name: key}
		}
		if s.Name != "" {
			named[s.Number] = true
		}
		out = append(out, s)
	}
	// A number or a name that stands alone on some slips is known by those that
	// print both.
	for _, s := range out {
		if s.Number != "" && s.Name != "" {
			named[s.Name] = true
		}
	}
	return slices.DeleteFunc(out, func(s query.Site) bool { return s.Name == "" && named[s.Number] || s.Number == "" && named[s.Name] }), nil
}

// siteNames are the names of the sites, made once for a view.
func (v *snapshot) siteNames(ctx context.Context) (*query.Names, error) {
	v.mu.Lock()
	names := v.names
	v.mu.Unlock()
	if names != nil {
		return names, nil
	}
	known, err := v.sites(ctx)
	if err != nil {
		return nil, err
	}
	names = query.NewNames(known.list)
	v.mu.Lock()
	v.names = names
	v.mu.Unlock()
	return names, nil
}

// knownSites are the sites that the index knows, made once for a view.
type knownSites struct {
	list   []query.Site
	other  map[string]string // see otherKeys
	number map[string]string // from a name to the number, where it is one site's
}

func (v *snapshot) sites(ctx context.Context) (*knownSites, error) {
	v.mu.Lock()
	known := v.known
	v.mu.Unlock()
	if known != nil {
		return known, nil
	}
	list, err := sites(ctx, v)
	if err != nil {
		return nil, err
	}
	known = &knownSites{list, otherKeys(list), map[string]string{}}
	for _, s := range list {
		if s.Number != "" && s.Name != "" && known.other[s.Name] == s.Number {
			known.number[s.Name] = s.Number
		}
	}
	v.mu.Lock()
	v.known = known
	v.mu.Unlock()
	return known, nil
}

// otherKeys leads from a site's number to its name and back, where neither is
// shared with another site.
func otherKeys(known []query.Site) map[string]string {
	out := map[string]string{}
	for _, s := range known {
		if s.Number == "" || s.Name == "" {
			continue
		}
		for _, p := range [][2]string{{s.Number, s.Name}, {s.Name, s.Number}} {
			if old, ok := out[p[0]]; ok && old != p[1] {
				out[p[0]] = ""
			} else if !ok {
				out[p[0]] = p[1]
			}
		}
	}
	return out
}

// Sites lists the sites whose numbers or names records surely show.
func (ix *Index) Sites(ctx context.Context) ([]query.Site, error) {
	var out []query.Site
	err := ix.use(ctx, func(v view) error {
		known, err := v.sites(ctx)
		if err == nil {
			out = slices.Clone(known.list)
		}
		return err
	})
	return out, err
}
