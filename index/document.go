package index

import (
	"cmp"
	"strconv"
	"strings"

	"tankroll/archive"
	"tankroll/index/table"
	"tankroll/index/text"
	"tankroll/parse/lexicon"
	"tankroll/record"
)

// recordDoc is what the index knows of a record.
type recordDoc struct {
	Kind   string
	Sites  []string // number and name
	Number string   // the site as it is listed: its number when it has one
	Class  string
	Result string
	State  string
	Grade  string // noGrade when not known
	Where  string // site and equipment
	Known  string // yes: grade, equipment and site are sure
	Tank   string
	Line   string
	Sensor string
	Device string
	At     string             // timeKey, "" when not known
	Unsure []string           // fields in doubt, and anyField
	Sure   string             // yes no
	Copy   string             // yes: a better record tells of the same event
	Labels []string           // what it says in words, folded
	Tags   []string           // short facts, see tagsOf
	Nums   map[string]float64 // quantities in US units to order and choose by; absent ones are left out
}

// terms are the values by which a record is found.
func (d recordDoc) terms() []table.Value {
	var out []table.Value
	seen := map[table.Value]bool{}
	add := func(field string, values ...string) {
		for _, s := range values {
			if v := (table.Value{Field: field, Value: s}); s != "" && !seen[v] {
				seen[v] = true
				out = append(out, v)
			}
		}
	}
	add("kind", d.Kind)
	add("site", d.Sites...)
	add("class", d.Class)
	add("result", d.Result)
	add("state", d.State)
	add("grade", d.Grade)
	add("known", d.Known)
	add("tank", d.Tank)
	add("line", d.Line)
	add("sensor", d.Sensor)
	add("device", d.Device)
	add("unsure", d.Unsure...)
	add("sure", d.Sure)
	add("copy", d.Copy)
	add("label", d.Labels...)
	add("tag", d.Tags...)
	for name := range d.Nums {
		add("has", name)
	}
	return out
}

// row is the record as the table keeps it; slip is the number of the slip it
// stands on, 0 for none.
func (d recordDoc) row(r archive.Row, slip uint32) table.Doc {
	out := table.Doc{No: recordNo(r.ID), Fact: r.Fact, Values: d.terms(),
		Numbers: map[string]int64{"at": 0, "slip": int64(slip)}, Names: map[string]string{"where": d.Where, "number": d.Number}}
	if k, ok := timeKey(d.At); ok {
		out.Numbers["at"] = int64(k)
	}
	for name, f := range d.Nums {
		out.Numbers[numberName(name)] = sortable(f)
		if isLoss(name) {
			out.Numbers[signedName(name)] = 0 // its sign may have been corrected
			if v, ok := signedOf(r, name); ok && v < 0 {
				out.Numbers[signedName(name)] = sortable(v)
			}
		}
	}
	return out
}

// recordID is a record's id.
func recordID(no uint32) string { return "r" + strconv.FormatUint(uint64(no), 10) }

// recordNo is the number in a record's id.
func recordNo(id string) uint32 {
	n, _ := strconv.ParseUint(strings.TrimPrefix(id, "r"), 10, 32)
	return uint32(n)
}

// newRecordDoc makes what the index knows of a record.
func newRecordDoc(r archive.Row, isCopy bool, lex *lexicon.Lexicon) recordDoc {
	tank, line, sensor := equipment(r.Record)
	d := recordDoc{
		Kind: string(r.Record.Kind), Sites: siteKeys(r), Number: r.Site,
		Class: r.Record.Text("test_class"), Result: r.Record.Text("result"), State: r.Record.Text("state"),
		Grade: gradeOf(r.Record, lex), Tank: tank, Line: line, Sensor: sensor, Device: r.Record.Text("device"),
		At: r.At, Unsure: unsureFields(r), Sure: yesNo(r.Sure()), Copy: yesNo(isCopy), Labels: labels(r),
		Tags: tagsOf(r), Nums: numbersOf(r),
	}
	if d.Grade == "" {
		d.Grade = noGrade
	}
	if d.Where = where(r); d.Where != "" && d.Grade != noGrade && gradeSure(r) {
		d.Known = "yes"
	}
	return d
}

// anyField stands for a doubt about a whole record.
const anyField = "*"

// unsureFields lists the fields of a record that are in doubt.
func unsureFields(r archive.Row) []string {
	var out []string
	for _, d := range r.Record.Doubts {
		out = append(out, cmp.Or(d.Field, anyField))
	}
	for _, name := range append(r.Record.FieldNames(), "site", "printed_at") {
		if unsure(r, name) {
			out = append(out, name)
		}
	}
	return out
}

// noGrade stands for a record that prints no product.
const noGrade = "-"

// where names one tank, line or sensor of one site, "" when not known.
func where(r archive.Row) string {
	e := r.Record.Equipment()
	if e == "" || r.Site == "" {
		return ""
	}
	return archive.SiteKey(r.Site) + "|" + e
}

// gradeSure reports whether the record surely says what its tank or line holds.
func gradeSure(r archive.Row) bool {
	if !r.SiteSure {
		return false
	}
	for _, name := range []string{"grade", "product", "tank", "line"} {
		if f, ok := r.Record.Fields[name]; ok && !f.Sure || doubted(r.Record, name) {
			return false
		}
	}
	return true
}

// doubted reports whether a doubt stands against a field or the whole record.
func doubted(r record.Record, field string) bool {
	for _, d := range r.Doubts {
		if d.Field == field || d.Field == "" {
			return true
		}
	}
	return false
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// siteKeys are the forms under which a record's site is asked for.
func siteKeys(r archive.Row) []string {
	keys := []string{}
	for _, s := range []string{archive.SiteKey(r.Site), archive.SiteKey(r.SiteName)} {
		if s != "" && (len(keys) == 0 || keys[0] != s) {
			keys = append(keys, s)
		}
	}
	return keys
}

// equipment is what the record is about; an alarm names it by device.
func equipment(r record.Record) (tank, line, sensor string) {
	tank, line, sensor = r.Text("tank"), r.Text("line"), r.Text("sensor")
	if no := r.Text("device_number"); no != "" {
		switch r.Text("device") {
		case "tank":
			tank = no
		case "line":
			line = no
		case "sensor":
			sensor = no
		}
	}
	return tank, line, sensor
}

// gradeOf is the record's grade, or that of its product's label.
func gradeOf(r record.Record, lex *lexicon.Lexicon) string {
	if g := r.Text("grade"); g != "" {
		return g
	}
	if label := r.Text("product"); label != "" {
		if g, cost, ok := lex.GradeOf(label); ok && cost == 0 {
			return g
		}
	}
	return ""
}

// labels are the record's own words, folded: what its text fields and codes say
// and were read from, and its site's name.
func labels(r archive.Row) []string {
	var out []string
	add := func(s string) {
		if s = strings.Join(text.Fold(s), " "); s != "" {
			out = append(out, s)
		}
	}
	for _, name := range r.Record.FieldNames() {
		f := r.Record.Fields[name]
		spec, _ := record.Spec(r.Record.Kind, name)
		if spec.Type == record.Label || spec.Type == record.Code {
			add(f.String())
			add(f.Text)
		}
	}
	add(r.SiteName)
	return out
}

// timeKey is a number that orders times as their texts do, a date before the
// first minute of its day.
func timeKey(at string) (float64, bool) {
	if len(at) < 10 {
		return 0, false
	}
	y, e1 := strconv.Atoi(at[:4])
	m, e2 := strconv.Atoi(at[5:7])
	d, e3 := strconv.Atoi(at[8:10])
	if e1 != nil || e2 != nil || e3 != nil {
		return 0, false
	}
	day := float64(y*10000+m*100+d) * dayStep
	var h, min, s int
	switch len(at) {
	case 10:
		return day, true
	case 16, 19:
		var e4, e5, e6 error
		h, e4 = strconv.Atoi(at[11:13])
		min, e5 = strconv.Atoi(at[14:16])
		extra := 0
		if len(at) == 19 {
			s, e6 = strconv.Atoi(at[17:19])
			extra = 1
		}
		if e4 != nil || e5 != nil || e6 != nil {
			return 0, false
		}
		return day + float64(2*(h*3600+min*60+s)+extra+1), true
	}
	return 0, false
}

// dayStep leaves room for two times a second within a day.
const dayStep = 1e6
