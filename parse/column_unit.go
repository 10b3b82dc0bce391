package parse

import (
	"strings"

	"tankroll/record"
)

// unitColumns names the columns whose heading is a unit and nothing else, where the kind has
// one field only that it can be of and no other column says it:
//
//	TK  PRODUCT   VOL L   MM    C          TK  PRODUCT  GPH  ENDED  PSI  RESULT
//
// A rate beside a measured one is that which was tested for.
func (d *doc) unitColumns(k record.Kind, cols []column, taken map[string]bool) {
	if len(cols) < 2 {
		return
	}
	for i := range cols {
		c := &cols[i]
		if c.field != "" || c.bag != "" || c.unit == "" || c.cost > 0 {
			continue
		}
		field := map[record.Quantity]string{
			record.Length: "height", record.Temperature: "temperature", record.Pressure: "pressure", record.Rate: "leak_rate", record.Hours: "duration",
		}[quantityOf(unitCodes[c.unit])]
		if field == "" && k == record.Inventory && len(cols) > 2 && onlyVolume(cols) {
			field = "volume" // TK   GAL   ULLAGE
		}
		if field == "leak_rate" && taken[field] && !taken["test_rate"] {
			field = "test_rate"
		}
		if spec, ok := specs[k][field]; ok && !taken[field] {
			c.field, c.spec = field, spec
			taken[field] = true
		}
	}
}

// onlyVolume reports whether one column only has a unit of volumes for its heading, among
// others that are named.
func onlyVolume(cols []column) bool {
	n := 0
	for _, c := range cols {
		if c.field == "" && c.bag == "" && quantityOf(unitCodes[c.unit]) == record.Volume {
			n++
		}
	}
	return n == 1
}

// amountColumns names the columns of a table of deliveries that say no more than that they hold
// amounts, or amounts that went IN, where no other column has any:
//
//	TANK  STARTED  ENDED  GALLONS          TK  START  END  GAL IN  NET IN
func amountColumns(k record.Kind, cols []column, taken map[string]bool) {
	if k != record.Delivery || len(cols) < 3 || taken["start_volume"] || taken["end_volume"] || !taken["started_at"] && !taken["ended_at"] {
		return
	}
	into := func(c column) bool {
		return len(c.toks) == 2 && c.toks[1].norm == "in" && c.cost == 0 && !c.toks[1].paren
	}
	amounts, net := -1, -1
	for i, c := range cols {
		volume := c.bag == bagOf("volume") || c.bag == "" && quantityOf(unitCodes[c.unit]) == record.Volume || c.bag == "" && into(c) && c.toks[0].norm == "gal"
		switch {
		case c.bag == bagOf("net") && into(c):
			net = i
		case c.field != "" || !volume:
		case amounts >= 0:
			return
		default:
			amounts = i
		}
	}
	name := func(i int, field string) {
		if i < 0 || taken[field] {
			return
		}
		c := &cols[i]
		c.field, c.spec = field, specs[k][field]
		if into(*c) {
			c.unit = ""
		}
		taken[field] = true
	}
	name(amounts, "delivered")
	name(net, "net_delivered")
}

// dayColumn lets a column of days say which day each row of a reconciliation is of.
func dayColumn(k record.Kind, cols []column) {
	if k != record.Reconciliation || len(cols) < 3 {
		return
	}
	for i := range cols {
		if c := &cols[i]; c.bag == bagOf("date") && (c.field == "" || isHeader(c.field)) {
			c.field, c.spec = fieldMoment, record.FieldSpec{Name: fieldMoment, Type: record.Time}
		}
	}
}

// momentColumns lets a column of dates and times, which alone would say when the slip was
// printed, say when each row's test or delivery was.
func momentColumns(k record.Kind, cols []column) {
	if _, own := specs[k]["at"]; own || len(cols) < 3 {
		return
	}
	for i := range cols {
		c := &cols[i]
		if w := c.toks[0].norm; c.field == "header.printed_at" && (strings.HasPrefix(w, "date") || strings.HasPrefix(w, "time")) {
			c.field, c.spec = fieldMoment, record.FieldSpec{Name: fieldMoment, Type: record.Time}
		}
	}
}
