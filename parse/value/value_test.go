package value

import (
	"math"
	"strings"
	"testing"
)

func TestParseNumber(t *testing.T) {
	for _, c := range []struct {
		text  string
		style Style
		want  float64
		fixed int
	}{
		{"5123", 0, 5123, 0}, {"5,123", 0, 5123, 0}, {"5,123.4", 0, 5123.4, 0}, {"5.123,4", 0, 5123.4, 0}, {"1,234,567", 0, 1234567, 0},
		{".2", 0, 0.2, 0}, {"0.20", 0, 0.2, 0}, {"-0.03", 0, -0.03, 0}, {"0.03-", 0, -0.03, 0}, {"(0.03)", 0, -0.03, 0}, {"+12", 0, 12, 0},
		{"−0.031", 0, -0.031, 0}, {"45,23", 0, 45.23, 0}, {"0,123", 0, 0.123, 0}, {"5'123", 0, 5123, 0}, {"5'123.5", 0, 5123.5, 0},
		{"5,123", DecimalComma, 5.123, 0}, {"5.123", DecimalComma, 5123, 0}, {"5.123", DecimalPoint, 5.123, 0}, {"5.123", 0, 5.123, 0},
		{"5I23", 0, 5123, 1}, {"O.O3", 0, 0.03, 2}, {"S123", 0, 5123, 1}, {"-.05", 0, -0.05, 0}, {"0", 0, 0, 0}, {"-0.00", 0, 0, 0},
		{"10,000", 0, 10000, 0}, {"12.", 0, 12, 0},
	} {
		n, ok := ParseNumber(c.text, c.style)
		if !ok || math.Abs(n.Value-c.want) > 1e-12 || n.Fixed != c.fixed || math.Signbit(n.Value) && n.Value == 0 {
			t.Errorf("ParseNumber(%q, %d) = %+v, %v; want %v with %d fixed", c.text, c.style, n, ok, c.want, c.fixed)
		}
	}
	for _, text := range []string{"", "-", "GAL", "1,23,4", "12:30", "5123GAL", "1.2.3.4.5.6", "()", "SOLD", "BOSS", "12345678901234567890"} {
		if n, ok := ParseNumber(text, 0); ok {
			t.Errorf("ParseNumber(%q) = %+v, want none", text, n)
		}
	}
}

func TestStyleOf(t *testing.T) {
	for _, c := range []struct {
		texts string
		want  Style
	}{
		{"5,123 45.23", DecimalPoint}, {"5.123 45,23", DecimalComma}, {"5,123 7,234", DecimalPoint}, {"5,123", Unknown}, {"5.123 7.234", Unknown}, {"0,123", DecimalComma}, {"", Unknown},
		{"5.123,4", DecimalComma}, {"1,234,567 1,200", DecimalPoint},
	} {
		if got := StyleOf(strings.Fields(c.texts)); got != c.want {
			t.Errorf("StyleOf(%q) = %d, want %d", c.texts, got, c.want)
		}
	}
}

var names = Names{
	Month: func(w string) (string, float64, bool) {
		m, ok := map[string]string{"mar": "3", "march": "3", "dec": "12", "may": "5"}[strings.ToLower(w)]
		return m, 0, ok
	},
	Weekday: func(w string) bool { return strings.EqualFold(w, "fri") || strings.EqualFold(w, "friday") },
}

func TestParseMoment(t *testing.T) {
	for _, c := range []struct {
		text  string
		order Order
		want  string
		used  int
	}{
		{"03/14/2025", MDY, "2025-03-14", 1}, {"14/03/2025", DMY, "2025-03-14", 1}, {"14.03.25", DMY, "2025-03-14", 1}, {"3-14-25", MDY, "2025-03-14", 1},
		{"2025-03-14", MDY, "2025-03-14", 1}, {"25/03/14", YMD, "2025-03-14", 1}, {"14 MAR 2025", MDY, "2025-03-14", 3}, {"MAR 14, 2025", DMY, "2025-03-14", 3},
		{"14-MAR-25", MDY, "2025-03-14", 1}, {"14MAR2025", MDY, "2025-03-14", 1}, {"March 14th 2025", DMY, "2025-03-14", 3}, {"2025 MAR 14", DMY, "2025-03-14", 3},
		{"20250314", MDY, "2025-03-14", 1}, {"14032025", DMY, "2025-03-14", 1}, {"FRI 14 MAR 2025", MDY, "2025-03-14", 4}, {"14/MAR/2025", MDY, "2025-03-14", 1},
		{"12/31/99", MDY, "1999-12-31", 1}, {"03/14", MDY, "2025-03-14", 1}, {"14 MAR", MDY, "2025-03-14", 2}, {"12/24", MDY, "2024-12-24", 1},
		{"03/14/2025 01:00 AM", MDY, "2025-03-14 01:00", 3}, {"01:00 PM 03/14/2025", MDY, "2025-03-14 13:00", 3}, {"2025-03-14T01:00:15", MDY, "2025-03-14 01:00:15", 1},
		{"03/14/25 1:00A", MDY, "2025-03-14 01:00", 2}, {"03/14/25 12:10 a.m.", MDY, "2025-03-14 00:10", 3}, {"14.03.2025 0100", DMY, "2025-03-14 01:00", 2},
		{"14.03.2025 13h05", DMY, "2025-03-14 13:05", 2}, {"MAR 14, 2025 at 1:00 PM", MDY, "2025-03-14 13:00", 6}, {"03114/2025 O1:00", MDY, "2025-03-14 01:00", 2},
		{"07/20 2014 22:51", MDY, "2014-07-20 22:51", 3}, {"20-07 2014 10:51 PM", DMY, "2014-07-20 22:51", 4}, {"MAR 14 2014", MDY, "2014-03-14", 3}, {"03/14 2014 5,120", MDY, "2025-03-14 20:14", 2},
		{"13:05", MDY, "13:05", 1}, {"12:30 PM", MDY, "12:30", 2}, {"MAR-14-2025 13.05", MDY, "2025-03-14 13:05", 2}, {"5 AM", MDY, "05:00", 2},
		{"PM 04:18", MDY, "16:18", 2}, {"2025-03-14 (FRI) a.m. 08:05", YMD, "2025-03-14 08:05", 4}, {"AM11:02:19 2025-03-14", YMD, "2025-03-14 11:02:19", 2}, {"PM 00:15", MDY, "12:15", 2}, {"AM 00:15", MDY, "00:15", 2},
	} {
		m, used := ParseMoment(strings.Fields(c.text), names, false)
		got := ""
		if m.HasDate {
			d, ok := m.Date.In(c.order, Day{2025, 4, 1})
			if !ok {
				t.Errorf("%q: no such day: %+v", c.text, m.Date)
			}
			got = d.String()
		}
		if m.HasClock {
			got = strings.TrimSpace(got + " " + m.Clock.String())
		}
		if got != c.want || used != c.used {
			t.Errorf("ParseMoment(%q) = %q using %d; want %q using %d (%+v)", c.text, got, used, c.want, c.used, m)
		}
	}
	for _, text := range []string{"", "5123", "0.03", "13/14/2025", "32 MAR 2025", "25:00", "5,123", "0.03 GAL", "TANK 1", "99/99/99", "1:75", "PM", "AM 14:20", "PM 2:10 AM", "PM 418"} {
		if m, used := ParseMoment(strings.Fields(text), names, false); used > 0 {
			t.Errorf("ParseMoment(%q) = %+v using %d, want none", text, m, used)
		}
	}
}

func TestParseDuration(t *testing.T) {
	unit := func(s string) string {
		return map[string]string{"h": "h", "hrs": "h", "hours": "h", "min": "min", "m": "min", "s": "s"}[strings.ToLower(s)]
	}
	for _, c := range []struct {
		text string
		want float64
		used int
	}{
		{"4.0 h", 4, 2}, {"4 HRS 30 MIN", 4.5, 4}, {"4:30", 4.5, 1}, {"04:30:00", 4.5, 1}, {"270 MIN", 4.5, 2}, {"4h", 4, 1}, {"4h 30m", 4.5, 2}, {"2.5", 2.5, 1}, {"4,5 h", 4.5, 2}, {"X", 0, 0},
	} {
		if d, used := ParseDuration(strings.Fields(c.text), Unknown, unit); d.Hours != c.want || used != c.used {
			t.Errorf("ParseDuration(%q) = %v using %d, want %v using %d", c.text, d.Hours, used, c.want, c.used)
		}
	}
}
