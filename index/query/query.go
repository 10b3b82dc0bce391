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
// anything.
type Query struct {
	Kind      record.Kind `json:"kind,omitempty"`
	AnyTest   bool        `json:"any_test,omitempty"`   // tank and line tests alike; Kind is empty
	TestClass string      `json:"test_class,omitempty"` // 0.1 0.2 3.0
	Result    string      `json:"result,omitempty"`     // a result code, or NotPass
	State     string      `json:"state,omitempty"`      // of a sensor or an alarm
	Grade     string      `json:"grade,omitempty"`
	Tank      string      `json:"tank,omitempty"`
	Line      string      `json:"line,omitempty"`
	Sensor    string      `json:"sensor,omitempty"`
	Device    string      `json:"device,omitempty"` // of an alarm: tank line sensor system
	Site      string      `json:"site,omitempty"`   // number or name, as asked
	From      string      `json:"from,omitempty"`   // date, included
	To        string      `json:"to,omitempty"`     // date, included
	Order     string      `json:"order,omitempty"`  // Latest or First
	Limit     int         `json:"limit,omitempty"`  // 0: all
	Count     bool        `json:"count,omitempty"`  // asked how many
	Words     []string    `json:"words,omitempty"`  // words and phrases that the record or its slip must show

	Assumed       []string `json:"assumed,omitempty"`        // what was taken for granted, in words
	NotUnderstood []string `json:"not_understood,omitempty"` // words of the question that had no effect
}

// The orders of an answer.
const (
	Latest = "latest" // the newest first
	First  = "first"  // the oldest first
)

// NotPass is the Result that asks for every result but a pass.
const NotPass = "not pass"

// Anything reports whether the question narrows nothing down.
func (q Query) Anything() bool {
	return q.Kind == "" && !q.AnyTest && q.TestClass == "" && q.Result == "" && q.State == "" && q.Grade == "" && q.Tank == "" &&
		q.Line == "" && q.Sensor == "" && q.Device == "" && q.Site == "" && q.From == "" && q.To == "" && len(q.Words) == 0
}

// String says what was understood, in words that Parse takes to mean the same.
func (q Query) String() string {
	var head []string
	switch {
	case q.Count:
		head = append(head, "how many")
	case q.Limit == 0:
		head = append(head, "all")
	case q.Order == First:
		head = append(head, "first")
	default:
		head = append(head, "latest")
	}
	if q.Limit > 1 && !q.Count {
		head = append(head, strconv.Itoa(q.Limit))
	}
	if q.Result != "" {
		head = append(head, resultWord(q.Result))
	}
	if q.TestClass != "" {
		head = append(head, q.TestClass+" gal/h")
	}
	head = append(head, q.noun())
	return strings.Join(append([]string{strings.Join(head, " ")}, q.clauses()...), ", ")
}

func (q Query) noun() string {
	plural := q.Limit != 1
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
	if q.State != "" {
		add("state", q.State)
	}
	if q.Grade != "" {
		add("product", q.Grade)
	}
	add("device", q.Device)
	add("tank", q.Tank)
	add("line", q.Line)
	add("sensor", q.Sensor)
	if q.Site != "" {
		add("site", quoteName(q.Site))
	}
	switch {
	case q.From != "" && q.To != "":
		add("from", q.From+" to "+q.To)
	case q.From != "":
		add("since", q.From)
	case q.To != "":
		add("until", q.To)
	}
	for _, w := range q.Words {
		add("with", `"`+w+`"`)
	}
	if q.Limit == 0 && !q.Count {
		if q.Order == First {
			out = append(out, "oldest first")
		} else {
			out = append(out, "newest first")
		}
	}
	return out
}

// quoteName leaves a number or a single word as it is.
func quoteName(s string) string {
	if identForm.MatchString(s) {
		return s
	}
	return `"` + s + `"`
}

func resultWord(result string) string {
	switch result {
	case "pass":
		return "passing"
	case "fail":
		return "failing"
	case NotPass:
		return "not passing"
	}
	return result
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
