package query

import (
	"math"

	"tankroll/record"
)

// litresPerGallon is exact: a US gallon is 231 cubic inches.
const litresPerGallon = 3.785411784

// units are the units of the numbers in questions, and what one is in US units.
var units = map[string]struct {
	quantity record.Quantity
	scale    float64
	zero     float64
}{
	"gallon": {record.Volume, 1, 0}, "gallons": {record.Volume, 1, 0}, "gal": {record.Volume, 1, 0}, "gals": {record.Volume, 1, 0},
	"liter": {record.Volume, 1 / litresPerGallon, 0}, "liters": {record.Volume, 1 / litresPerGallon, 0},
	"litre": {record.Volume, 1 / litresPerGallon, 0}, "litres": {record.Volume, 1 / litresPerGallon, 0},
	"inch": {record.Length, 1, 0}, "inches": {record.Length, 1, 0}, "in": {record.Length, 1, 0}, "mm": {record.Length, 1 / 25.4, 0},
	"degree": {record.Temperature, 1, 0}, "degrees": {record.Temperature, 1, 0}, "fahrenheit": {record.Temperature, 1, 0}, "degf": {record.Temperature, 1, 0},
	"celsius": {record.Temperature, 1.8, 32}, "degc": {record.Temperature, 1.8, 32},
	"gph": {record.Rate, 1, 0}, "gal/h": {record.Rate, 1, 0}, "gal/hr": {record.Rate, 1, 0},
	"lph": {record.Rate, 1 / litresPerGallon, 0}, "l/h": {record.Rate, 1 / litresPerGallon, 0},
	"hour": {record.Hours, 1, 0}, "hours": {record.Hours, 1, 0}, "hrs": {record.Hours, 1, 0}, "minutes": {record.Hours, 1.0 / 60, 0},
	"psi": {record.Pressure, 1, 0}, "percent": {record.Plain, 1, 0}, "%": {record.Plain, 1, 0},
}

// InUS gives a printed number in US units (gal, in, degF, gal/h), in which Query
// names numbers, to four decimals.
func InUS(v float64, unit string) float64 {
	switch unit {
	case "L", "L/h":
		v /= litresPerGallon
	case "mm":
		v /= 25.4
	case "degC":
		v = v*1.8 + 32
	}
	return math.Round(v*1e4) / 1e4
}
