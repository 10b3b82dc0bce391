package query

import (
	"slices"
	"strings"
	"testing"

	"tankroll/parse/lexicon"
)

var sitesHere = NewNames([]Site{{"101", "MAPLE STREET"}, {"108", "STATION SQUARE"}, {"115", "RIDGE ROAD"}, {"117", "WEST FERRY"}, {"118", "EAST FERRY"}, {"134", "KILN ROAD"}})

// What people say otherwise means what the grammar's own words mean.
func TestSpeech(t *testing.T) {
	for _, c := range []struct{ ask, as string }{
		{"wich tank tests flunked at ridge rd this yr", `all failing tank tests, site 115 "RIDGE ROAD", from 2025-01-01 to 2025-12-31, newest first`},
		{"probe went out at kiln road, what day", `all alarms, state raised, site 134 "KILN ROAD", with "probe", with "out", newest first`},
		{"alarms nobody ever took care of", "all alarms, state raised, marked not followed up, newest first"},
		{"tests over 6 hrs", "all tank tests, by duration, over 6, newest first"},
		{"deliveries of 8000 gallons or more", "all deliveries, by delivered volume, at least 8000, newest first"},
		{"no. of loads 8000+ q2 24", "how many deliveries, by delivered volume, at least 8000, from 2024-04-01 to 2024-06-30"},
		{"line tests < 30 psi since the first of the year", "all line tests, by pressure, under 30, since 2025-01-01, newest first"},
		{"is any regular tank under 2,000 gal", "latest inventory report, by volume, under 2000, product regular, for each tank, as of now"},
		{"lines whose most recent test is a fail", "latest failing line test, for each line, as of now"},
		{"tank/line tests that passed, oldest on top", "all passing tests, oldest first"},
		{"alarms since memorial day", "all alarms, state raised, since 2025-05-26, newest first"},
		{"alarms over easter weekend", "all alarms, state raised, from 2025-04-19 to 2025-04-20, newest first"},
		{"deliveries in early may", "all deliveries, from 2025-05-01 to 2025-05-10, newest first"},
		{"tests from June thru August 2024", "all tests, from 2024-06-01 to 2024-08-31, newest first"},
		{"last year, the march deliveries", "all deliveries, from 2024-03-01 to 2024-03-31, newest first"},
		{"tests in the six months leading up to May 2025", "all tests, from 2024-11-01 to 2025-04-30, newest first"},
		{"who never sent in a sensor status in april", "which sites have no sensor status, from 2025-04-01 to 2025-04-30"},
		{"a fail on tank 2 at kiln road. All tank tests of that tank since March?", `all tank tests, tank 2, site 134 "KILN ROAD", since 2025-03-01, newest first`},
		{"both ferries, diesel deliveries", "all deliveries, product diesel, site 117 or 118, newest first"},
		{"Station Square last delivery", `latest delivery, site 108 "STATION SQUARE"`}, // a name stays a name
		{`records with "flunked"`, `all records, with "flunked", newest first`},        // and what is quoted as it is
	} {
		q := ParseFor(c.ask, wednesday, lexicon.Default(), sitesHere)
		if q.String() != c.as {
			t.Errorf("%s\nis read as\n%s, want\n%s", c.ask, q, c.as)
		}
		if again := ParseFor(q.String(), wednesday, lexicon.Default(), sitesHere); again.String() != q.String() || len(again.NotUnderstood) > 0 {
			t.Errorf("%s\nis read as\n%s\nwhich is read as\n%s, not understood %q", c.ask, q, again, again.NotUnderstood)
		}
	}
}

// Words that turn a meaning round never go unsaid, and a phrase that stands for
// others is written as the grammar has it.
func TestSpeechIsSound(t *testing.T) {
	for _, list := range []map[string]bool{filler, small} {
		for w := range turners {
			if list[w] {
				t.Errorf("%s turns a meaning round and is taken to mean nothing", w)
			}
		}
	}
	seen := map[string]string{}
	section := ""
	for line := range strings.Lines(speechText) {
		if line = strings.TrimSpace(line); line == "" || line[0] == '#' {
			continue
		}
		if line[0] == '[' {
			section = line
			continue
		}
		name, list, _ := strings.Cut(line, "=")
		for phrase := range strings.SplitSeq(list, "|") {
			phrase = strings.TrimSpace(phrase)
			if phrase == "" || strings.Contains(phrase, "{}") || phrase != strings.ToLower(phrase) {
				t.Errorf("%s%s: %q is no phrase", section, name, phrase)
			}
			if strings.ContainsAny(phrase, ",?!\"'") {
				t.Errorf("%s%s: %q has a sign that no word of a question has", section, name, phrase)
			}
			if was, ok := seen[phrase]; ok && section != "[classes]" && was != name && !strings.Contains(phrase, "{") {
				t.Errorf("%q is said to mean %s and %s", phrase, strings.TrimSpace(was), strings.TrimSpace(name))
			}
			if section != "[classes]" {
				seen[phrase] = name
			}
			if section == "[nothing]" && slices.ContainsFunc(strings.Fields(phrase), func(w string) bool { return turners[w] && w != "no" && w != "not" && w != "only" }) {
				t.Errorf("%q turns a meaning round and is taken to mean nothing", phrase)
			}
		}
	}
}
