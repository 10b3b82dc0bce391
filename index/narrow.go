package index

import (
	"fmt"
	"slices"
	"strings"

	"tankroll/archive"
	"tankroll/index/query"
	"tankroll/record"
)

// marked asks for what people did with a record, and whether it is sure.
func marked(codes []string) []constraint {
	var out []constraint
	for _, code := range codes {
		list := strings.Split(code, ",")
		tags := make([]string, len(list))
		for i, m := range list {
			tags[i] = tagMark + m
		}
		out = append(out, constraint{orSaid(strings.ReplaceAll(code, "_", " ")), isAny("tag", tags),
			func(r archive.Row) bool { return hasAny(marksOf(r), list) },
			func(archive.Row) []string { return nil }, nil,
			func(q *query.Query) {
				q.Marks = slices.DeleteFunc(slices.Clone(q.Marks), func(m string) bool { return m == code })
			}})
	}
	return out
}

// numberStep is the smallest difference of numbers in US units.
const numberStep = 1e-4

// measured asks for a number, and for its size.
func measured(q query.Query) constraint {
	words := strings.ReplaceAll(q.Measure, "_", " ")
	say := "with a " + words
	var low, high *float64
	for _, b := range []struct {
		v    *float64
		end  **float64
		by   float64
		word string
	}{{q.Over, &low, numberStep / 2, "over"}, {q.AtLeast, &low, -numberStep / 2, "at least"}, {q.Under, &high, -numberStep / 2, "under"}, {q.AtMost, &high, numberStep / 2, "at most"}} {
		if b.v == nil {
			continue
		}
		v := *b.v + b.by
		*b.end = &v
		say = fmt.Sprintf("with a %s %s %g", words, b.word, *b.v)
	}
	return constraint{say, numberIn(q.Measure, low, high),
		func(r archive.Row) bool {
			v, ok := numberOf(r, q.Measure)
			return ok && (low == nil || v >= *low) && (high == nil || v <= *high)
		},
		func(archive.Row) []string { return []string{q.Measure} }, []string{q.Measure},
		func(q *query.Query) {
			q.Over, q.Under, q.AtLeast, q.AtMost = nil, nil, nil, nil
			if low == nil && high == nil {
				q.Measure = ""
			}
		}}
}

// dates asks for a time between two dates, both included.
func dates(from, to string) constraint {
	var low, high *float64
	if k, ok := timeKey(from); ok {
		low = &k
	}
	if k, ok := timeKey(to); ok {
		k += dayStep - 1
		high = &k
	}
	say := "from " + from + " to " + to
	switch {
	case from == "":
		say = "until " + to
	case to == "":
		say = "since " + from
	}
	return constraint{say, between(low, high),
		func(r archive.Row) bool {
			if len(r.At) < 10 {
				return false
			}
			day := r.At[:10]
			return (from == "" || day >= from) && (to == "" || day <= to)
		},
		func(r archive.Row) []string { return []string{r.AtField} }, timeFields,
		func(q *query.Query) { q.From, q.To = "", "" }}
}

// timeFields are the fields that record.Record.At looks at.
var timeFields = []string{"ended_at", "started_at", "last_pass_at", "first_pass_of_month", "at", "to", "from", "printed_at"}

// numbered asks for one tank, line or sensor, which an alarm names by device.
func numbered(device, no string) constraint {
	list := strings.Split(no, ",")
	return constraint{device + " " + orSaid(no), isAny(device, list),
		func(r archive.Row) bool {
			tank, line, sensor := equipment(r.Record)
			have := map[string]string{"tank": tank, "line": line, "sensor": sensor}[device]
			return have != "" && slices.Contains(list, have)
		},
		func(r archive.Row) []string {
			if r.Record.Kind == record.Alarm {
				return []string{"device", "device_number"}
			}
			return []string{device}
		}, []string{device, "device", "device_number"},
		func(q *query.Query) {
			switch device {
			case "tank":
				q.Tank = ""
			case "line":
				q.Line = ""
			case "sensor":
				q.Sensor = ""
			}
		}}
}
