package query

import (
	"math"
	"strconv"
	"strings"

	"tankroll/record"
)

// measure is a numeric field as questions name it.
type measure struct {
	field string
	name  string      // what String says
	kind  record.Kind // the kind meant when none is named; "" is any that has the field
	test  bool        // a field of tests, of tanks and of lines
	words []string    // other names
	plain []string    // names that mean the measure only where a number is asked for
}

// measures are the fields whose numbers may be asked about.
var measures = []measure{
	{field: "water_height", name: "water height", words: []string{"water level", "water levels", "water depth", "water heights", "bottom water", "inches of water", "height of water", "level of water", "depth of water"}, plain: []string{"water"}},
	{field: "water_volume", name: "water volume", kind: record.Inventory, words: []string{"gallons of water", "volume of water"}},
	{field: "net_volume", name: "net volume", kind: record.Inventory, words: []string{"temperature compensated volume", "tc volume", "volume at 60"}},
	{field: "volume", name: "volume", kind: record.Inventory, words: []string{"gross volume", "fuel volume", "product volume", "stock level", "gallons in"}, plain: []string{"gallons", "stock", "contents"}},
	{field: "ullage", name: "ullage", kind: record.Inventory, words: []string{"room for delivery", "space left", "room left", "empty space", "room for product", "room for fuel", "room for more", "space for delivery", "space for fuel"}, plain: []string{"room", "space"}},
	{field: "capacity", name: "capacity", words: []string{"tank size", "tank sizes", "capacities", "tank capacity", "tank capacities", "size of the tank", "size of tank"}},
	{field: "height", name: "product height", kind: record.Inventory, words: []string{"fuel height", "fuel level", "product level", "fuel depth", "stick reading", "dip reading"}, plain: []string{"height", "depth"}},
	{field: "temperature", name: "temperature", words: []string{"fuel temperature", "product temperature", "temperatures"}, plain: []string{"temp", "temps", "hot", "warm", "cold"}},
	{field: "delivered", name: "delivered volume", kind: record.Delivery, words: []string{"gallons delivered", "delivered gallons", "delivery volume", "amount delivered", "delivery size", "size of the delivery", "drop size", "load size", "size of the load", "size of the drop", "volume delivered", "gallons received"}},
	{field: "net_delivered", name: "net delivered volume", kind: record.Delivery, words: []string{"net delivered", "net gallons delivered", "net delivery"}},
	{field: "leak_rate", name: "leak rate", test: true, words: []string{"leak rates", "loss rate", "calculated rate", "measured rate", "calculated leak rate", "measured leak rate"}, plain: []string{"rate"}},
	{field: "threshold", name: "leak threshold", kind: record.TankTest, words: []string{"threshold"}},
	{field: "duration", name: "duration", kind: record.TankTest, words: []string{"test duration", "test length", "length of the test", "length of a test", "length of a tank test", "length of tests", "running time"}, plain: []string{"long", "length"}},
	{field: "percent_full", name: "percent full", kind: record.TankTest, words: []string{"percentage full", "fill level"}},
	{field: "pressure", name: "pressure", kind: record.LineTest, words: []string{"line pressure", "test pressure", "line pressures"}, plain: []string{"psi"}},
	{field: "over_short", name: "over or short", kind: record.Reconciliation, words: []string{"over by", "far off", "far out", "short by", "off by", "out by", "gallons off", "gallons out", "over or under", "missing gallons", "gallons missing", "lost gallons", "gallons lost", "missing fuel", "lost fuel", "fuel missing", "fuel loss", "unaccounted for", "unaccounted", "unexplained loss", "losing fuel", "losing gallons", "lose gallons", "lose fuel", "come up short", "came up short", "coming up short", "gallons short", "gallons over", "gain or loss", "loss or gain", "over/short", "over short", "overage", "overages", "shortage", "shortages", "variance", "variances", "discrepancy", "discrepancies"}, plain: []string{"lost", "gain", "gains", "gained", "loss", "losses", "short"}},
	{field: "sold", name: "volume sold", kind: record.Reconciliation, words: []string{"gallons sold", "throughput"}, plain: []string{"sells", "uses", "sold", "sell", "sales", "pumped", "dispensed"}},
	{field: "high_water", name: "high water limit", kind: record.TankLimits, words: []string{"high water setpoint", "high water set point", "high water setpoints", "high water set points", "high water alarm limit", "high water alarm setting", "high water alarm setpoint", "high water alarm level", "high water alarm point", "high water trip point", "high water threshold", "high water settings", "high water limits", "water setpoint", "water set point", "water setpoints", "water set points", "water alarm limit", "water alarm setting", "water alarm setpoint", "water alarm level", "water alarm point", "water trip point", "water threshold", "water setting", "water settings", "water limits", "water limit", "limit for water", "high water setting"}},
	{field: "overfill", name: "overfill limit", kind: record.TankLimits, words: []string{"overfill set on", "overfill set at", "overfill setpoint", "overfill set point", "overfill setpoints", "overfill set points", "overfill alarm limit", "overfill alarm setting", "overfill alarm setpoint", "overfill alarm level", "overfill alarm point", "overfill trip point", "overfill threshold", "overfill settings", "overfill limits", "overfill setting", "limit for overfill"}},
	{field: "high_product", name: "high product limit", kind: record.TankLimits, words: []string{"high product setpoint", "high product set point", "high product setpoints", "high product set points", "high product alarm limit", "high product alarm setting", "high product alarm setpoint", "high product alarm level", "high product alarm point", "high product trip point", "high product threshold", "high product settings", "high product limits", "high product setting", "high level limit"}},
	{field: "low_product", name: "low product limit", kind: record.TankLimits, words: []string{"low product setpoint", "low product set point", "low product setpoints", "low product set points", "low product alarm limit", "low product alarm setting", "low product alarm setpoint", "low product alarm level", "low product alarm point", "low product trip point", "low product threshold", "low product settings", "low product limits", "low product setting", "low level limit"}},
	{field: "delivery_needed", name: "delivery needed limit", kind: record.TankLimits, words: []string{"delivery needed setpoint", "delivery needed set point", "delivery needed setpoints", "delivery needed set points", "delivery needed alarm limit", "delivery needed alarm setting", "delivery needed alarm setpoint", "delivery needed alarm level", "delivery needed alarm point", "delivery needed trip point", "delivery needed threshold", "delivery needed setting", "delivery needed settings", "delivery needed limits", "delivery limit", "reorder point", "reorder limit"}},
	{field: "passes_24h", name: "passes in 24 hours", kind: record.LineSummary},
}

func measureName(field string) string {
	for _, m := range measures {
		if m.field == field {
			return m.name
		}
	}
	return ""
}

// mention is a run of words that may name a measure.
type mention struct {
	i, n  int
	m     measure
	plain bool
}

// measured reads the name of a measure; what it means is settled at the end.
func (p *parser) measured(i int) int {
	for n := 4; n >= 1; n-- {
		s := p.from(i, n)
		if s == "" || p.cutInside(i, n) {
			continue
		}
		if p.longerKind(i, n) {
			return 0
		}
		for _, m := range measures {
			if s == m.name || has(m.words, s) || has(m.plain, s) {
				p.measures = append(p.measures, mention{i, n, m, has(m.plain, s)})
				if one := strings.TrimSuffix(s, "s"); one != s && n > 0 && (one == m.name || has(m.words, one)) || s == "capacities" || s == "tank capacities" {
					p.manyOf = true
				}
				return n
			}
		}
	}
	return 0
}

// longerKind reports a kind whose name is longer than n words: a line pressure
// test is no pressure.
func (p *parser) longerKind(i, n int) bool {
	for k := n + 1; k <= 6; k++ {
		if s := p.from(i, k); s != "" && !p.cutInside(i, k) {
			if _, ok := p.kindOf(s); ok {
				return true
			}
		}
	}
	return false
}

func has(list []string, s string) bool {
	for _, v := range list {
		if v == s {
			return true
		}
	}
	return false
}

// extremes are the ends of a measure; a word may say which measure it is.
var extremes = map[string]struct{ order, field string }{
	"highest": {Highest, ""}, "biggest": {Highest, ""}, "largest": {Highest, ""}, "greatest": {Highest, ""}, "maximum": {Highest, ""}, "max": {Highest, ""},
	"worst": {Highest, ""}, "top": {Highest, ""}, "fullest": {Highest, "volume"}, "longest": {Highest, "duration"}, "deepest": {Highest, ""},
	"hottest": {Highest, "temperature"}, "warmest": {Highest, "temperature"},
	"lowest": {Lowest, ""}, "smallest": {Lowest, ""}, "least": {Lowest, ""}, "minimum": {Lowest, ""}, "min": {Lowest, ""}, "best": {Lowest, ""},
	"emptiest": {Lowest, "volume"}, "shortest": {Lowest, "duration"}, "coldest": {Lowest, "temperature"}, "coolest": {Lowest, "temperature"},
}

// extreme reads "highest", "the 3 largest" and "most water".
func (p *parser) extreme(i int) int {
	lead, limit := 0, 0
	if n, used := count(p.w[i:]); used > 0 && p.w[i] != "a" && p.w[i] != "an" && i+used < len(p.w) {
		if _, ok := extremes[p.w[i+used]]; ok {
			lead, limit = used, n
		}
	}
	w := p.w[i+lead]
	e, ok := extremes[w]
	if w == "most" && i+1 < len(p.w) && (p.measureAt(i+1) || p.w[i+1] == "fuel") {
		e, ok = struct{ order, field string }{Highest, ""}, true
	}
	if !ok || p.q.Order == Highest || p.q.Order == Lowest {
		return 0
	}
	n := lead + 1
	if w == "least" && i > 0 && p.w[i-1] == "at" {
		return 0
	}
	if limit == 0 && i+n < len(p.w) {
		if c, used := count(p.w[i+n:]); used > 0 && p.w[i+n] != "a" && !p.unitAt(i+n+used) && !p.quantityAt(i+n+used) {
			limit, n = c, n+used
		}
	}
	if e.field == "" && i+n < len(p.w) && has([]string{"biggest", "largest", "smallest"}, w) && groups[p.w[i+n]] == "tank" && !p.longerKind(i+n, 1) {
		e.field, p.sized = "capacity", true
	}
	p.q.Order, p.superl, p.extremeField, p.extremeAt = e.order, true, e.field, i
	p.mostOf = w == "most" || w == "least"
	p.q.Limit = max(p.q.Limit, limit)
	return n
}

func (p *parser) measureAt(i int) bool {
	was, many := p.measures, p.manyOf
	n := p.measured(i)
	p.measures, p.manyOf = was, many
	return n > 0
}

func (p *parser) quantityAt(i int) bool {
	if i >= len(p.w) {
		return false
	}
	_, ok := units[p.w[i]]
	return ok
}

// byMeasure reports that the question names its measure as String does.
func (p *parser) byMeasure() bool { return has(p.w, "by") }

// figure reads a number as people write it: 8,000 or .05 or 8k.
func figure(w string) (float64, bool) {
	times := 1.0
	if s := strings.TrimSuffix(w, "k"); s != w {
		w, times = s, 1000
	}
	if strings.Trim(w, "-0123456789.,") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(strings.ReplaceAll(w, ",", ""), 64)
	if err != nil || math.Abs(v*times) > 1e9 {
		return 0, false
	}
	return v * times, true
}

// figureAsked reads "total", "average" and "how much".
func (p *parser) figureAsked(i int) int {
	switch two := p.from(i, 2); {
	case two == "how much":
		p.howMuch = true
		return 2
	case two == "how full":
		p.howMuch, p.howFull = true, true
		return 2
	case two == "how low" || (two == "how high" || two == "how deep") && (p.ahead(i, "get") || p.ahead(i, "ever") || p.ahead(i, "got")):
		p.q.Order, p.superl, p.extremeAt = Highest, true, i+1
		if two == "how low" {
			p.q.Order = Lowest
		}
		return 2
	case two == "how high" || two == "how deep":
		p.superl = true
		return 2
	case (two == "how hot" || two == "how warm" || two == "how cold" || two == "how cool") && (p.ahead(i, "get") || p.ahead(i, "ever") || p.ahead(i, "got")):
		p.q.Order, p.superl, p.extremeAt, p.extremeField = Highest, true, i+1, "temperature"
		if two == "how cold" || two == "how cool" {
			p.q.Order = Lowest
		}
		return 2
	case (two == "how big" || two == "how large") && p.ahead(i, "tank") && p.q.Kind == "":
		p.superl, p.sized = true, true
		return 2
	case two == "how hot" || two == "how warm" || two == "how cold" || two == "how long":
		p.superl = true
		return 1
	case two == "in total" || two == "total of" || two == "sum of":
		p.q.Figure = Total
		return 2
	case p.w[i] == "total" || p.w[i] == "altogether":
		p.q.Figure = Total
		return 1
	case p.w[i] == "average" || p.w[i] == "avg" || p.w[i] == "mean":
		p.q.Figure = Average
		return 1
	}
	return 0
}
