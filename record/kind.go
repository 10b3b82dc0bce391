package record

import (
	"slices"
	"sync"
)

// Kind is the kind of a record.
type Kind string

// The kinds of records.
const (
	TankTest       Kind = "tank_test"
	LineTest       Kind = "line_test"
	LineSummary    Kind = "line_summary"
	SensorStatus   Kind = "sensor_status"
	Alarm          Kind = "alarm"
	Inventory      Kind = "inventory"
	Delivery       Kind = "delivery"
	TankLimits     Kind = "tank_limits"
	Reconciliation Kind = "reconciliation"
)

// Type is the form of a field's value.
type Type int

// The types of values.
const (
	Label  Type = iota // free text as printed (string)
	Ident              // equipment number without leading zeros (string)
	Code               // one of FieldSpec.Codes (string)
	Time               // 2006-01-02T15:04, :05 or a date alone (string)
	Number             // float64, in FieldSpec's quantity
)

// Quantity is what a number measures; it decides which units may stand.
type Quantity string

// The quantities and their units.
const (
	Plain       Quantity = ""            // no unit: counts, percent
	Volume      Quantity = "volume"      // gal L
	Length      Quantity = "length"      // in mm
	Temperature Quantity = "temperature" // degF degC
	Rate        Quantity = "rate"        // gal/h L/h
	Hours       Quantity = "hours"       // h
	Pressure    Quantity = "pressure"    // psi
)

// FieldSpec describes one field of a kind.
type FieldSpec struct {
	Name     string
	Type     Type
	Quantity Quantity // for Number
	Codes    []string // for Code
}

// The codes of the coded fields.
var (
	grades      = []string{"regular", "midgrade", "premium", "e15", "e85", "diesel", "biodiesel", "kerosene", "def", "other"}
	testClasses = []string{"0.1", "0.2", "3.0"}
	results     = []string{"pass", "fail", "inconclusive", "aborted"}
)

// Units lists the units in which a quantity may be printed.
func (q Quantity) Units() []string {
	switch q {
	case Volume:
		return []string{"gal", "L"}
	case Length:
		return []string{"in", "mm"}
	case Temperature:
		return []string{"degF", "degC"}
	case Rate:
		return []string{"gal/h", "L/h"}
	case Hours:
		return []string{"h"}
	case Pressure:
		return []string{"psi"}
	}
	return nil
}

// Kinds lists every kind.
func Kinds() []Kind {
	return []Kind{TankTest, LineTest, LineSummary, SensorStatus, Alarm, Inventory, Delivery, TankLimits, Reconciliation}
}

// Specs lists the fields of a kind in their order; nil for an unknown kind. The
// list is one for all who ask and must not be changed.
func Specs(k Kind) []FieldSpec { return specs()[k] }

var specs = sync.OnceValue(func() map[Kind][]FieldSpec {
	out := map[Kind][]FieldSpec{}
	for _, k := range Kinds() {
		out[k] = slices.Clip(specsOf(k))
	}
	return out
})

func specsOf(k Kind) []FieldSpec {
	label := func(n string) FieldSpec { return FieldSpec{Name: n, Type: Label} }
	ident := func(n string) FieldSpec { return FieldSpec{Name: n, Type: Ident} }
	code := func(n string, c []string) FieldSpec { return FieldSpec{Name: n, Type: Code, Codes: c} }
	at := func(n string) FieldSpec { return FieldSpec{Name: n, Type: Time} }
	num := func(n string, q Quantity) FieldSpec { return FieldSpec{Name: n, Type: Number, Quantity: q} }
	product := []FieldSpec{label("product"), code("grade", grades)}
	tank := append([]FieldSpec{ident("tank")}, product...)
	line := append([]FieldSpec{ident("line")}, product...)

	switch k {
	case TankTest:
		return append(tank, num("test_rate", Rate), code("test_class", testClasses),
			code("method", []string{"static", "continuous"}), at("started_at"), at("ended_at"), num("duration", Hours),
			num("start_volume", Volume), num("end_volume", Volume), num("percent_full", Plain),
			num("leak_rate", Rate), num("threshold", Rate), num("height", Length), num("water_height", Length),
			num("temperature", Temperature), code("result", results))
	case LineTest:
		return append(line, num("test_rate", Rate), code("test_class", testClasses), at("started_at"), at("ended_at"),
			num("pressure", Pressure), num("leak_rate", Rate), code("result", results))
	case LineSummary:
		return append(line, code("test_class", testClasses), num("passes_24h", Plain), num("passes_since_midnight", Plain),
			at("first_pass_of_month"), at("last_pass_at"))
	case SensorStatus:
		return []FieldSpec{ident("sensor"), label("location"),
			code("state", []string{"normal", "fuel", "water", "liquid", "high", "low", "out", "other"}), at("at")}
	case Alarm:
		return []FieldSpec{at("at"), code("device", []string{"tank", "line", "sensor", "system"}), ident("device_number"),
			label("event"), code("state", []string{"raised", "cleared", "acknowledged"})}
	case Inventory:
		return append(tank, num("volume", Volume), num("net_volume", Volume), num("ullage", Volume), num("capacity", Volume),
			num("height", Length), num("water_height", Length), num("water_volume", Volume), num("temperature", Temperature), at("at"))
	case Delivery:
		return append(tank, at("started_at"), at("ended_at"), num("start_volume", Volume), num("end_volume", Volume),
			num("delivered", Volume), num("net_delivered", Volume), num("start_temperature", Temperature), num("end_temperature", Temperature))
	case TankLimits:
		return append(tank, num("capacity", Volume), num("high_product", Volume), num("overfill", Volume), num("low_product", Volume),
			num("high_water", Length), num("delivery_needed", Volume), num("leak_alarm", Volume), num("sudden_loss", Volume))
	case Reconciliation:
		return append(tank, at("from"), at("to"), num("opening", Volume), num("delivered", Volume), num("sold", Volume),
			num("closing", Volume), num("over_short", Volume), num("allowed", Volume), code("result", results))
	}
	return nil
}

// Spec finds a field of a kind.
func Spec(k Kind, name string) (FieldSpec, bool) {
	for _, s := range Specs(k) {
		if s.Name == name {
			return s, true
		}
	}
	return FieldSpec{}, false
}

// timeOrder says, for each kind, which fields tell when it happened, the best
// first.
var timeOrder = map[Kind][]string{
	TankTest:       {"ended_at", "started_at"},
	LineTest:       {"ended_at", "started_at"},
	LineSummary:    {"last_pass_at", "first_pass_of_month"},
	SensorStatus:   {"at"},
	Alarm:          {"at"},
	Inventory:      {"at"},
	Delivery:       {"ended_at", "started_at"},
	Reconciliation: {"to", "from"},
}
