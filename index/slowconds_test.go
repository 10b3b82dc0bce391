package index

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tankroll/archive"
)

// labelGrades are the grades of the labels that people typed in.
var labelGrades = map[string]string{"REGULAR UNL": "regular", "PREMIUM": "premium", "SUPER": "premium", "PLUS": "midgrade", "ULSD": "diesel", "DIESEL": "diesel"}

// condition is one condition cut into its parts.
type condition struct {
	name, op, value string
	list            []string
	number          float64
}

func parseConds(t *testing.T, texts []string) []condition {
	t.Helper()
	var out []condition
	for _, text := range texts {
		m := slowForm.FindStringSubmatch(text)
		if m == nil {
			t.Fatalf("%q is no condition", text)
		}
		c := condition{name: m[1], op: m[2], value: m[3], list: strings.Split(m[3], ",")}
		var err error
		if c.number, err = strconv.ParseFloat(c.value, 64); err != nil && strings.ContainsAny(c.op, "<>") {
			t.Fatalf("%q: %v", text, err)
		}
		out = append(out, c)
	}
	return out
}

// holdsCond reports whether a record meets one condition.
func (s *slowScan) holdsCond(r archive.Row, c condition) bool {
	name, op, value, list := c.name, c.op, c.value, c.list
	f := func(name string) string { v, _ := r.Record.Fields[name].Value.(string); return v }
	switch name {
	case "kind":
		return slices.Contains(list, string(r.Record.Kind))
	case "site":
		return slices.Contains(list, s.site(r)) == (op == "=")
	case "tank", "line", "sensor": // an alarm names them by device
		return (slices.Contains(list, f(name)) || f("device") == name && slices.Contains(list, f("device_number"))) == (op == "=")
	case "class":
		return slices.Contains(list, f("test_class"))
	case "from":
		return r.At >= value
	case "to":
		return r.At != "" && r.At[:10] <= value
	case "grade":
		if op == "!=" {
			c.op = "="
			return !s.holdsCond(r, c)
		}
		if g := cmp.Or(f("grade"), labelGrades[f("product")]); g != "" {
			return slices.Contains(list, g)
		}
		return slices.ContainsFunc(list, func(g string) bool {
			for _, device := range []string{"tank", "line"} {
				no := f(device)
				if f("device") == device {
					no = f("device_number")
				}
				if no != "" && s.holds[fmt.Sprint(g, s.site(r), device, no)] {
					return true
				}
			}
			return false
		})
	case "says":
		return slices.ContainsFunc(list, func(v string) bool { return strings.Contains(f("event"), strings.ReplaceAll(v, "+", " ")) }) == (op == "=")
	case "place":
		where := f("location")
		if f("device") == "sensor" {
			where = s.places[s.site(r)+"/"+f("device_number")]
		}
		return strings.Contains(where, map[string]string{"dispenser": "DISPENSER", "sump": "SUMP", "interstice": "INTERSTICE"}[value])
	case "has":
		_, ok := r.Record.Fields[value].Value.(float64)
		return ok
	case "mark":
		corrected := false
		for _, x := range r.Record.Fields {
			corrected = corrected || x.Origin == "entered"
		}
		is := map[string]bool{"doubtful": !r.Sure(), "sure": r.Sure(), "confirmed": r.Confirmed, "not_confirmed": !r.Confirmed, "by_hand": r.ByHand,
			"corrected": corrected && !r.ByHand, "followed_up": r.Followed != "", "not_followed_up": r.Followed == ""}
		return slices.ContainsFunc(list, func(m string) bool { return is[m] })
	}
	if v, ok := r.Record.Fields[name].Value.(float64); ok || op != "=" {
		if name == "leak_rate" || name == "over_short" {
			v = math.Abs(v)
		}
		bound := c.number
		return ok && (op == ">" && v > bound || op == ">=" && v >= bound || op == "<" && v < bound || op == "<=" && v <= bound || op == "=" && v == bound)
	}
	return slices.Contains(list, f(name))
}
