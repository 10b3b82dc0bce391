package parse_test

import (
	"fmt"

	"tankroll/parse"
)

func ExampleSlip() {
	slip := parse.Typed(`TANK LEAK TEST
TANK 2 DIESEL
TEST RATE ... 0.2 GAL/H
ENDED ....... 14 MAR 2025 05:00
LEAK RATE ... -0.031 GAL/H
RESULT ...... PASSED
`)[0]
	for _, r := range parse.Slip(slip, parse.Hints{}).Records {
		for _, name := range r.FieldNames() {
			f := r.Fields[name]
			fmt.Println(name, f.Value, f.Unit, f.Sure)
		}
	}
	// Output:
	// tank 2  true
	// product DIESEL  true
	// grade diesel  true
	// test_rate 0.2 gal/h true
	// test_class 0.2  true
	// ended_at 2025-03-14T05:00  true
	// leak_rate -0.031 gal/h true
	// result pass  true
}
