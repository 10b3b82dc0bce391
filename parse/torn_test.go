package parse

import (
	"strings"
	"testing"
)

// TestTornRecord: print that is misread tears one record into several. None of the
// pieces is sure, and what was not torn is.
func TestTornRecord(t *testing.T) {
	whole := `STOCK ACCOUNT
PRINTED 16-MAY-2024 04:17
TANK 02 PREMIUM UNL
1. PERIOD ..... 18-APR-2024 TO 15-MAY-2024
2. OPENING ..................... 4744 GAL
3. DELIVERED .................. 17343 GAL
4. SALES ...................... 16639 GAL
5. CLOSING ..................... 5369 GAL
6. OVER (SHORT) ................. (79) GAL
7. ALLOWED ...................... 296 GAL
8. RESULT .......................... PASS`
	pairs := `Book and stick
Printed
7:34 AM Nov. 17, 2025
Tank                     Product
2                        E15 88
First day                Last day
Oct. 20, 2025            Nov. 16, 2025
Opening stick            Closing stick
6,376 gal                3,730 gal
Received                 Through meters
21,468 gal               24,231 gal
Over or short            1% + 130
117 gal                  372 gal
Finding
WITHIN LIMIT`
	for name, c := range map[string]struct {
		text, was, is string
	}{
		"a numbered line without its point names no tank":  {whole, "7. ALLOWED", "7  ALLOWED"},
		"a head that is misread tears rows of pairs apart": {pairs, "1% + 130", "1% * 130"},
	} {
		if n := sureFields(c.text); n < 10 {
			t.Errorf("%s: %d fields are sure as printed", name, n)
		}
		if n := sureFields(strings.Replace(c.text, c.was, c.is, 1)); n != 0 {
			t.Errorf("%s: %d fields of the pieces are sure", name, n)
		}
	}
}

func sureFields(text string) int {
	n := 0
	for _, s := range Typed(text) {
		for _, r := range Slip(s, Hints{}).Records {
			for _, f := range r.Fields {
				if f.Sure {
					n++
				}
			}
		}
	}
	return n
}
