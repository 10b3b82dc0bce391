// Package query turns a question in plain words, such as "last passing 0.2
// test on the diesel tank", into a Query. It knows no search engine; package
// index answers Queries.
//
// Start with Parse. What it took a question to mean is said by Query.String,
// what it had to assume by Query.Assumed, and what it could not use by
// Query.NotUnderstood: no word is dropped in silence.
package query

import (
	"strconv"
	"strings"

	"tankroll/record"
)

// Query is a question with its meaning made plain. Zero fields ask for
// anything. TestClass, Result, Grade, Tank, Line, Sensor, what is left out and a Site that is a
// number may hold several values, parted by commas: any of them.
type Query struct {
	Kind      record.Kind `json:"kind,omitempty"`
	OrKind    record.Kind `json:"or_kind,omitempty"`    // this one as well as Kind
	AnyTest   bool        `json:"any_test,omitempty"`   // tank and line tests alike; Kind is empty
	TestClass string      `json:"test_class,omitempty"` // 0.1 0.2 3.0
	Method    string      `json:"method,omitempty"`     // of a tank test: static continuous
	Result    string      `json:"result,omitempty"`     // a result code, or NotPass
	State     string      `json:"state,omitempty"`      // of a sensor or an alarm, several parted by commas, or NotNormal
	Grade     string      `json:"grade,omitempty"`
	Tank      string      `json:"tank,omitempty"`
	Line      string      `json:"line,omitempty"`
	Sensor    string      `json:"sensor,omitempty"`
	Device    string      `json:"device,omitempty"`    // of an alarm: tank line sensor system
	Place     string      `json:"place,omitempty"`     // where a sensor is: a code of Places
	Site      string      `json:"site,omitempty"`      // number or name
	SiteName  string      `json:"site_name,omitempty"` // name of the site whose number Site is
	NotGrade  string      `json:"not_grade,omitempty"` // left out
	NotSite   string      `json:"not_site,omitempty"`  // left out
	NotTank   string      `json:"not_tank,omitempty"`  // left out, of whatever site
	From      string      `json:"from,omitempty"`      // date, included
	To        string      `json:"to,omitempty"`        // date, included
	Marks     []string    `json:"marks,omitempty"`     // what is known of the record itself, all of them: codes of Marks, parted by commas any of several
	NotWords  []string    `json:"not_words,omitempty"` // the records that show them left out
	Words     []string    `json:"words,omitempty"`     // words and phrases that the record or its slip must show; parted by OrWord any of several

	Measure string   `json:"measure,omitempty"` // the numeric field that is asked about
	Over    *float64 `json:"over,omitempty"`    // Measure is more than this, in US units
	Under   *float64 `json:"under,omitempty"`   // Measure is less than this
	AtLeast *float64 `json:"at_least,omitempty"`
	AtMost  *float64 `json:"at_most,omitempty"`

	Order   string `json:"order,omitempty"`   // Latest, First, or by Measure: Highest, Lowest
	Limit   int    `json:"limit,omitempty"`   // 0: all; with Per, of each
	Count   bool   `json:"count,omitempty"`   // asked how many
	Figure  string `json:"figure,omitempty"`  // Total or Average of Measure
	Per     string `json:"per,omitempty"`     // asked for each: month week grade tank line sensor site
	Often   int    `json:"often,omitempty"`   // with Per and Count: only groups with so many or more
	Rank    string `json:"rank,omitempty"`    // with Per and Count or Figure: Highest, the group with the most first, or Lowest
	Current bool   `json:"current,omitempty"` // only the newest record of each counts
	Missing string `json:"missing,omitempty"` // which of these have no such record: month tank line sensor site

	Assumed       []string  `json:"assumed,omitempty"`        // what was taken for granted, in words
	NotUnderstood []string  `json:"not_understood,omitempty"` // words of the question that had no effect
	Readings      []Reading `json:"readings,omitempty"`       // what else the question can mean
}

// Reading is another meaning of an ambiguous question.
type Reading struct {
	Say string `json:"say"` // what is read otherwise, in words
	Ask string `json:"ask"` // the question that means it
}

// The orders of an answer.
const (
	Latest  = "latest"  // the newest first
	First   = "first"   // the oldest first
	Highest = "highest" // the most of Measure first
	Lowest  = "lowest"  // the least of Measure first
)

// The figures that are worked out over an answer.
const (
	Total   = "total"
	Average = "average"
)

// NotPass is the Result that asks for every result but a pass.
const NotPass = "not pass"

// NotNormal is the State that asks for every state of a sensor but normal.
const NotNormal = "not normal"

// Anything reports whether the question narrows nothing down.
func (q Query) Anything() bool {
	return q.Kind == "" && !q.AnyTest && q.TestClass == "" && q.Method == "" && q.Result == "" && q.State == "" && q.Grade == "" &&
		q.Tank == "" && q.Line == "" && q.Sensor == "" && q.Device == "" && q.Place == "" && q.Site == "" && q.From == "" && q.To == "" &&
		q.NotGrade == "" && q.NotSite == "" && q.NotTank == "" && len(q.NotWords) == 0 && len(q.Marks) == 0 && len(q.Words) == 0 && q.Measure == "" && q.Per == "" && q.Missing == ""
}

// String says what was understood, in words that Parse takes to mean the same.
func (q Query) String() string {
	var head []string
	switch {
	case q.Missing != "":
		head = append(head, "which "+q.Missing+"s have no")
	case q.Count:
		head = append(head, "how many")
	case q.Figure != "":
		head = append(head, q.Figure)
	case q.Limit == 0 && (q.Order == Latest || q.Order == First || q.Order == ""):
		head = append(head, "all")
	case q.Order == "":
		head = append(head, Latest)
	default:
		head = append(head, q.Order)
	}
	if q.Limit > 1 && !q.Count && q.Missing == "" && q.Figure == "" {
		head = append(head, strconv.Itoa(q.Limit))
	}
	if q.Result != "" {
		head = append(head, either(resultWord(q.Result)))
	}
	if q.TestClass != "" {
		head = append(head, either(q.TestClass)+" gal/h")
	}
	head = append(head, q.Noun())
	return strings.Join(append([]string{strings.Join(head, " ")}, q.clauses()...), ", ")
}

// Noun is the kind of record in plain words.
func (q Query) Noun() string {
	plural := q.Limit != 1 && q.Missing == ""
	if q.OrKind != "" {
		a, b := q, q
		a.OrKind, b.Kind, b.OrKind = "", q.OrKind, ""
		return a.Noun() + " or " + b.Noun()
	}
	for _, n := range nouns {
		if n.kind == q.Kind && n.kind != "" {
			if plural {
				return n.many
			}
			return n.one
		}
	}
	one, many := "record", "records"
	if q.AnyTest {
		one, many = "test", "tests"
		if q.TestClass != "" && q.TestClass != "3.0" { // a test of such a class alone is taken to be of a tank
			one, many = "tank or line test", "tank or line tests"
		}
	}
	if plural {
		return many
	}
	return one
}

// clauses are the parts that follow the noun.
func (q Query) clauses() []string {
	var out []string
	add := func(label, v string) {
		if v != "" {
			out = append(out, strings.TrimSpace(label+" "+v))
		}
	}
	add("by", measureName(q.Measure))
	for _, b := range []struct {
		label string
		v     *float64
	}{{"over", q.Over}, {"under", q.Under}, {"at least", q.AtLeast}, {"at most", q.AtMost}} {
		if b.v != nil {
			add(b.label, strconv.FormatFloat(*b.v, 'f', -1, 64))
		}
	}
	add("method", q.Method)
	switch {
	case q.State == NotNormal:
		out = append(out, NotNormal)
	case q.State == "" && q.Kind == record.Alarm && q.OrKind == "": // alarms alone are those raised
		out = append(out, "raised or cleared")
	default:
		add("state", either(q.State))
	}
	add("product", either(q.Grade))
	add("except product", either(q.NotGrade))
	add("device", q.Device)
	add("tank", either(q.Tank))
	add("except tank", either(q.NotTank))
	add("line", either(q.Line))
	add("sensor", either(q.Sensor))
	add("in the", placeName(q.Place))
	if q.Site != "" {
		site := either(q.Site)
		if strings.Trim(q.Site, "0123456789,") != "" {
			site = quoteName(q.Site)
		}
		if q.SiteName != "" {
			site += ` "` + q.SiteName + `"`
		}
		add("site", site)
	}
	if q.NotSite != "" {
		out = append(out, "except site "+either(q.NotSite))
		if strings.Trim(q.NotSite, "0123456789,") != "" {
			out[len(out)-1] = "except site " + quoteName(q.NotSite)
		}
	}
	switch {
	case q.From != "" && q.To != "":
		add("from", q.From+" to "+q.To)
	case q.From != "":
		add("since", q.From)
	case q.To != "":
		add("until", q.To)
	}
	for _, m := range q.Marks {
		add("marked", either(strings.ReplaceAll(m, "_", " ")))
	}
	if len(q.Words) > 0 {
		out = append(out, SayWords(q.Words))
	}
	for _, w := range q.NotWords {
		out = append(out, `without "`+w+`"`)
	}
	if q.Per == "grade" {
		add("for each", "kind of product")
	} else if q.Per != "" {
		add("for each", q.Per)
	}
	if q.Often > 0 {
		out = append(out, "at least "+strconv.Itoa(q.Often)+" of them")
	}
	if q.Rank != "" {
		add("", map[string]string{Highest: "most first", Lowest: "fewest first"}[q.Rank])
	}
	if q.Current {
		out = append(out, "as of now")
	}
	if q.Limit == 0 && !q.Count && q.Missing == "" && q.Figure == "" {
		switch q.Order {
		case First:
			out = append(out, "oldest first")
		case Highest, Lowest:
			out = append(out, "all of them")
		default:
			out = append(out, "newest first")
		}
	}
	return out
}

// OrWord parts the words of which any will do, in one of Query.Words.
const OrWord = " | "

// SayWords says the words that a record must show.
func SayWords(words []string) string {
	var out []string
	for _, w := range words {
		out = append(out, `with "`+strings.ReplaceAll(w, OrWord, `" or "`)+`"`)
	}
	return strings.Join(out, ", ")
}

// quoteName leaves a number or a single word as it is.
func quoteName(s string) string {
	if identForm.MatchString(s) {
		return s
	}
	return `"` + s + `"`
}

// either says several values.
func either(list string) string { return strings.ReplaceAll(list, ",", " or ") }

func resultWord(result string) string {
	switch result {
	case "pass":
		return "passing"
	case "fail":
		return "failing"
	case NotPass:
		return "not passing"
	}
	return strings.Replace(result, "fail", "failing", 1)
}

// nouns are the kinds' names in plain words; the first of each is what String
// says.
var nouns = []struct {
	kind      record.Kind
	one, many string
}{
	{record.TankTest, "tank test", "tank tests"},
	{record.LineTest, "line test", "line tests"},
	{record.LineSummary, "line summary", "line summaries"},
	{record.SensorStatus, "sensor status", "sensor statuses"},
	{record.Alarm, "alarm", "alarms"},
	{record.Inventory, "inventory report", "inventory reports"},
	{record.Delivery, "delivery", "deliveries"},
	{record.TankLimits, "tank limits report", "tank limits reports"},
	{record.Reconciliation, "reconciliation", "reconciliations"},
}
