package parse_test

import (
	"testing"

	"tankroll/parse"
)

// A product that is taken for that of several tanks is never sure where others stand beside it, as in
// headings of which the columns were not understood.
func TestProductBesideOthers(t *testing.T) {
	for _, heading := range []string{
		"Tank     Super      Diesel    Kero\n         petrol               (IK)\nNo.      1          2         3\n",
		"         Regular    Premium   Diesel\n(fuels)\nTANK     1          2         3\n",
	} {
		text := "TANK LIMITS\nPrinted 30 NOV 2022 09:15\n\n" + heading +
			"Capacity 22,500     22,500    9,000\nHigh     20,250     20,250    8,100\nLow       2,000      2,250      700\n"
		found := false
		for _, s := range parse.Typed(text) {
			products := map[string]string{}
			sure := 0
			for _, r := range parse.Slip(s, parse.Hints{}).Records {
				f, ok := r.Fields["product"]
				if !ok {
					continue
				}
				found = true
				products[r.Fields["tank"].String()] = f.String()
				if f.Sure {
					sure++
				}
			}
			of := map[string]bool{}
			for _, p := range products {
				of[p] = true
			}
			if sure > 0 && len(of) < len(products) {
				t.Errorf("%q: one product is surely that of several tanks: %v", heading, products)
			}
		}
		if !found {
			t.Errorf("%q: no product is read; the test shows nothing", heading)
		}
	}
}
