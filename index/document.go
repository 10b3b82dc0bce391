package index

import (
	"cmp"
	"strconv"
	"strings"

	"github.com/blevesearch/bleve/v2"
	"github.com/blevesearch/bleve/v2/analysis/analyzer/custom"
	"github.com/blevesearch/bleve/v2/analysis/analyzer/keyword"
	"github.com/blevesearch/bleve/v2/analysis/tokenizer/whitespace"
	"github.com/blevesearch/bleve/v2/mapping"

	"tankroll/archive"
	"tankroll/parse/lexicon"
	"tankroll/record"
)

// slipDoc is what the index knows of a slip: its printed words.
type slipDoc struct {
	Capture string `json:"capture"`
	Text    string `json:"text"` // folded words
}

// Type names the mapping.
func (slipDoc) Type() string { return "slip" }

// recordDoc is what the index knows of a record.
type recordDoc struct {
	No     float64   `json:"no"` // the number in its id, to settle the order of equal times
	Kind   string    `json:"kind"`
	Sites  []string  `json:"site"` // number and name
	Class  string    `json:"class,omitempty"`
	Result string    `json:"result,omitempty"`
	State  string    `json:"state,omitempty"`
	Grade  string    `json:"grade"`              // noGrade when not known
	Where  string    `json:"where,omitempty"`    // site and equipment
	Known  string    `json:"known_at,omitempty"` // Where, when grade, equipment and site are sure
	Tank   string    `json:"tank,omitempty"`
	Line   string    `json:"line,omitempty"`
	Sensor string    `json:"sensor,omitempty"`
	Device string    `json:"device,omitempty"`
	At     []float64 `json:"at,omitempty"`     // timeKey, none when not known
	Unsure []string  `json:"unsure,omitempty"` // fields in doubt, and anyField
	Sure   string    `json:"sure"`             // yes no
	Copy   string    `json:"copy"`             // yes: a better record tells of the same event
	Fact   string    `json:"fact,omitempty"`
	Tags   []string  `json:"tag,omitempty"`
	Said   string    `json:"said"` // folded words of the record or its slip

	Nums map[string]float64 `json:"num,omitempty"` // the record's numbers in US units
}

// Type names the mapping.
func (recordDoc) Type() string { return "record" }

// newMapping is static: nothing is indexed that is not named here.
func newMapping() mapping.IndexMapping {
	key := func(store bool) *mapping.FieldMapping {
		f := bleve.NewTextFieldMapping()
		f.Analyzer, f.Store, f.IncludeInAll, f.IncludeTermVectors = keyword.Name, store, false, false
		return f
	}
	words := bleve.NewTextFieldMapping()
	words.Analyzer, words.Store, words.IncludeInAll, words.DocValues = "words", false, false, false
	number := bleve.NewNumericFieldMapping()
	number.Store, number.IncludeInAll = false, false

	slip := bleve.NewDocumentStaticMapping()
	slip.AddFieldMappingsAt("capture", key(false))
	slip.AddFieldMappingsAt("text", words)
	rec := bleve.NewDocumentStaticMapping()
	for _, name := range []string{"kind", "site", "class", "result", "state", "grade", "tank", "line", "sensor", "device", "where", "known_at", "unsure", "sure", "copy"} {
		rec.AddFieldMappingsAt(name, key(false))
	}
	rec.AddFieldMappingsAt("fact", key(true)) // stored: to find the old event of a record that changed
	rec.AddFieldMappingsAt("tag", key(false))
	nums := bleve.NewDocumentStaticMapping()
	for _, name := range numberFields() {
		nums.AddFieldMappingsAt(name, number)
	}
	rec.AddSubDocumentMapping("num", nums)
	rec.AddFieldMappingsAt("no", number)
	rec.AddFieldMappingsAt("at", number)
	rec.AddFieldMappingsAt("said", words)

	m := bleve.NewIndexMapping()
	m.DefaultMapping = bleve.NewDocumentDisabledMapping()
	m.IndexDynamic, m.StoreDynamic, m.DocValuesDynamic = false, false, false
	// Words are folded before they come here, so that questions, lines and the
	// index cannot disagree; the analyser has only to cut at spaces.
	err := m.AddCustomAnalyzer("words", map[string]any{"type": custom.Name, "tokenizer": whitespace.Name})
	if err != nil {
		panic("internal error: index: " + err.Error())
	}
	m.AddDocumentMapping("slip", slip)
	m.AddDocumentMapping("record", rec)
	return m
}

// newRecordDoc makes a record's document; lines are the printed lines of its
// slip, none when entered by hand.
func newRecordDoc(r archive.Row, lines []string, isCopy bool, lex *lexicon.Lexicon) recordDoc {
	no, _ := strconv.ParseFloat(strings.TrimPrefix(r.ID, "r"), 64)
	tank, line, sensor := equipment(r.Record)
	d := recordDoc{
		No: no, Kind: string(r.Record.Kind), Sites: siteKeys(r),
		Class: r.Record.Text("test_class"), Result: r.Record.Text("result"), State: r.Record.Text("state"),
		Grade: gradeOf(r.Record, lex), Tank: tank, Line: line, Sensor: sensor, Device: r.Record.Text("device"),
		Unsure: unsureFields(r), Tags: tagsOf(r), Nums: numbersOf(r),
		Sure: yesNo(r.Sure()), Copy: yesNo(isCopy), Fact: r.Fact, Said: strings.Join(fold(said(r, lines)), " "),
	}
	if d.Grade == "" {
		d.Grade = noGrade
	}
	if d.Where = where(r); d.Where != "" && d.Grade != noGrade && gradeSure(r) {
		d.Known = d.Where
	}
	if k, ok := timeKey(r.At); ok {
		d.At = []float64{k}
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

// said is what may be asked for in words: the record's own labels, and its
// slip's lines where the slip is about little else. A list of alarms or sensors
// shares its slip with many others, whose words are not its own.
func said(r archive.Row, lines []string) string {
	var parts []string
	for _, name := range r.Record.FieldNames() {
		f := r.Record.Fields[name]
		spec, _ := record.Spec(r.Record.Kind, name)
		if spec.Type == record.Label || spec.Type == record.Code {
			parts = append(parts, f.String(), f.Text)
		}
	}
	parts = append(parts, r.SiteName)
	if r.Record.Kind != record.Alarm && r.Record.Kind != record.SensorStatus {
		parts = append(parts, lines...)
	}
	return strings.Join(parts, " ")
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
