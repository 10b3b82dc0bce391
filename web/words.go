package web

import (
	"fmt"
	"html/template"
	"regexp"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"tankroll/record"
)

// funcs are what the templates may call.
var funcs = template.FuncMap{
	"kind":    kindWords,
	"field":   fieldWords,
	"code":    codeWords,
	"unit":    unitWords,
	"when":    when,
	"moment":  moment,
	"count":   count,
	"capital": capital,
	"note":    note,
}

var kindNames = map[record.Kind]string{
	record.TankTest:       "Tank leak test",
	record.LineTest:       "Line leak test",
	record.LineSummary:    "Line test summary",
	record.SensorStatus:   "Sensor status",
	record.Alarm:          "Alarm",
	record.Inventory:      "Inventory",
	record.Delivery:       "Delivery",
	record.TankLimits:     "Tank limits",
	record.Reconciliation: "Reconciliation",
}

// kindWords names a kind in words.
func kindWords(k record.Kind) string {
	if s, ok := kindNames[k]; ok {
		return s
	}
	return capital(spaced(string(k)))
}

// fieldNames are the fields whose name in words is not just the name with
// spaces.
var fieldNames = map[string]string{
	"test_class":        "Test class",
	"started_at":        "Started",
	"ended_at":          "Ended",
	"at":                "Time",
	"passes_24h":        "Passes in 24 hours",
	"percent_full":      "Percent full",
	"water_height":      "Water height",
	"over_short":        "Over or short",
	"printed_at":        "Printed",
	"site_number":       "Site number",
	"leak_rate":         "Leak rate",
	"last_pass_at":      "Last pass",
	"device_number":     "Device number",
	"net_volume":        "Net volume",
	"high_product":      "High product",
	"delivery_needed":   "Delivery needed at",
	"leak_alarm":        "Leak alarm at",
	"sudden_loss":       "Sudden loss at",
	"start_temperature": "Temperature before",
	"end_temperature":   "Temperature after",
}

// fieldWords names a field in words.
func fieldWords(name string) string {
	if s, ok := fieldNames[name]; ok {
		return s
	}
	return capital(spaced(name))
}

// codeWords says a code as people write it.
func codeWords(field, code string) string {
	switch {
	case code == "":
		return ""
	case field == "test_class":
		return code + " gal/h"
	case field == "grade" && (code == "e15" || code == "e85" || code == "def"):
		return strings.ToUpper(code)
	}
	return spaced(code)
}

// unitWords writes a unit for people.
func unitWords(u string) string {
	switch u {
	case "degF":
		return "°F"
	case "degC":
		return "°C"
	}
	return u
}

// valueWords writes a field's value for people, with its unit.
func valueWords(name string, f record.Field) string {
	if n, ok := f.Number(); ok {
		s := strconv.FormatFloat(n, 'f', -1, 64)
		if u := unitWords(f.Unit); u != "" {
			s += "\u00a0" + u
		}
		return s
	}
	return when(codeWords(name, f.String()))
}

// when writes a time for people: 2025-03-14 03:10. Other texts stay.
func when(s string) string {
	if len(s) >= len("2006-01-02T15:04") && s[10] == 'T' {
		if _, err := time.Parse(time.DateOnly, s[:10]); err == nil {
			return s[:10] + "\u00a0" + s[11:]
		}
	}
	return s
}

// moment writes when something was done here, in this machine's time.
func moment(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Local().Format("2006-01-02\u00a015:04")
}

// count writes a number with its noun: 1 record, 2 records.
func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

func spaced(s string) string { return strings.ReplaceAll(s, "_", " ") }

func capital(s string) string {
	if s == "" {
		return s
	}
	first, size := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(first)) + s[size:]
}

// tells are the fields that tell one record of a kind from another at a
// glance, after its equipment and time.
var tells = map[record.Kind][]string{
	record.TankTest:       {"grade", "test_class", "result", "leak_rate"},
	record.LineTest:       {"grade", "test_class", "result"},
	record.LineSummary:    {"grade", "test_class", "passes_24h"},
	record.SensorStatus:   {"location", "state"},
	record.Alarm:          {"event", "state"},
	record.Inventory:      {"grade", "volume", "water_height"},
	record.Delivery:       {"grade", "delivered"},
	record.TankLimits:     {"grade", "capacity", "overfill"},
	record.Reconciliation: {"grade", "over_short", "result"},
}

// gist is what a record says, in a few words: "diesel, 0.2 gal/h, pass".
func gist(r record.Record) string {
	var parts []string
	for _, name := range tells[r.Kind] {
		f, ok := r.Fields[name]
		if !ok {
			if name != "grade" {
				continue
			}
			if f, ok = r.Fields["product"]; !ok {
				continue
			}
		}
		w := valueWords(name, f)
		switch name {
		case "leak_rate", "water_height", "passes_24h", "delivered", "capacity", "overfill", "over_short":
			w = strings.ToLower(fieldWords(name)) + " " + w
		}
		if w != "" {
			parts = append(parts, w)
		}
	}
	return strings.Join(parts, ", ")
}

// asked says one value of a record by its name: "Water height 0.82 in"; "" when the
// record has none.
func asked(r record.Record, name string) string {
	f, ok := r.Fields[name]
	if !ok {
		return ""
	}
	return fieldWords(name) + " " + valueWords(name, f)
}

// siteWords names the site of a row; a misread name can be as long as a line.
func siteWords(number, name string) string {
	number, name = short(number), short(name)
	switch {
	case number != "" && name != "" && number != name:
		return "Site " + number + ", " + name
	case number != "":
		return "Site " + number
	case name != "":
		return name
	}
	return "Site not known"
}

var recordID = regexp.MustCompile(`\br[1-9][0-9]{0,17}\b`)

// note writes a remark as a sentence, with the records it names as links.
func note(s string) template.HTML {
	var b strings.Builder
	last := 0
	for _, at := range recordID.FindAllStringIndex(s, -1) {
		id := s[at[0]:at[1]]
		b.WriteString(template.HTMLEscapeString(s[last:at[0]]))
		b.WriteString(`<a href="/records/` + id + `">` + id + `</a>`)
		last = at[1]
	}
	b.WriteString(template.HTMLEscapeString(s[last:]))
	return template.HTML(capital(b.String()) + ".") // a link begins with <, which has no capital
}

// longestSite is where a site's name is cut in lists.
const longestSite = 40

func short(s string) string {
	if r := []rune(s); len(r) > longestSite {
		return string(r[:longestSite-1]) + "…"
	}
	return s
}

// chance says a confidence as people weigh it.
func chance(c float64) string {
	n := min(int(c*100+0.5), 99)
	if n <= 0 {
		return "hard to read: hardly to be seen"
	}
	return fmt.Sprintf("hard to read: of 100 such words, about %d are read right", n)
}
