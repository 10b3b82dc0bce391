package tagger

import (
	"math"

	"tankroll/record"
)

// coded is a field of codes, and where its codes stand among all; train/learn.py has the same.
type coded struct {
	kind  record.Kind // "" for fields of that name of any kind
	field string
	codes []string
	from  int
}

// codedFields are the fields of codes in the order of the weights, and how many codes they have.
func codedFields() (out []coded, codes int) {
	for _, c := range []coded{
		{kind: record.TankTest, field: "result"}, {kind: record.Alarm, field: "state"}, {kind: record.TankTest, field: "method"},
		{kind: record.SensorStatus, field: "state"}, {kind: record.Alarm, field: "device"}, {kind: record.TankTest, field: "grade"},
	} {
		spec, _ := record.Spec(c.kind, c.field)
		c.codes, c.from = spec.Codes, codes
		if c.field != "state" {
			c.kind = ""
		}
		codes += len(c.codes)
		out = append(out, c)
	}
	return out, codes
}

// Code is the code that words most likely say as a field, and how likely it is among the field's
// codes, 0 to 1; "" for a field that has none.
func (t *Tags) Code(words []int, kind record.Kind, field string) (string, float64) {
	for _, c := range t.net.coded {
		if c.field != field || c.kind != "" && c.kind != kind || len(words) == 0 {
			continue
		}
		best, sum := 0, 0.0
		odds := make([]float64, len(c.codes))
		for k := range odds {
			for _, w := range words {
				odds[k] += float64(t.codes[w][c.from+k]) / float64(len(words))
			}
			if odds[k] > odds[best] {
				best = k
			}
		}
		for _, o := range odds {
			sum += math.Exp(o - odds[best])
		}
		return c.codes[best], 1 / sum
	}
	return "", 0
}
