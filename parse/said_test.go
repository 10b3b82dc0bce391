package parse_test

import (
	"testing"

	"tankroll/parse"
	"tankroll/record"
)

// TestSaidState: the "On" of a sentence is no state, and what was done to an alarm is not its text.
func TestSaidState(t *testing.T) {
	for text, sure := range map[string]bool{
		"On 03/14/25 7:15 AM tank 2\nHIGH WATER was cleared.\n": false,
		"03/14/25 7:15 AM  TANK 2  HIGH WATER   ON\n":           true,
		"On   03/14/25 7:15 AM   Tank 2   High water\n":         true,
	} {
		r := readTyped("MILL END FUELS\nSITE NO. 12\nALARM HISTORY\n\n"+text, parse.Hints{})
		if len(r.Records) != 1 {
			t.Errorf("%q: %d records", text, len(r.Records))
			continue
		}
		if f := r.Records[0].Fields["state"]; f.Sure != sure || f.Sure && f.Value != "raised" {
			t.Errorf("%q: state %v, sure %v, want sure %v; %v", text, f.Value, f.Sure, sure, r.Records[0].Doubts)
		}
	}
}

// TestAmountsNoDay: amounts with their signs in columns settle no order of day and month.
func TestAmountsNoDay(t *testing.T) {
	r := readTyped("DAILY RECONCILIATION\nMILL END FUELS\nFROM 06-11-92 06:00\nTO   06-12-92 06:00\n\nTANK            1       2       3\nPRODUCT       REG     PRM     DSL\n"+
		"OPENING      8410    3977   11260\nDELIVERED    4502       0    7490\nSOLD         5128     611    9034\nCLOSING      7771    3359    9702\nOVER/SHORT    -13      -7     -14\n\nALL FIGURES U.S. GALLONS\n", parse.Hints{})
	if len(r.Records) != 3 {
		t.Fatalf("%d records, want 3", len(r.Records))
	}
	for _, rec := range r.Records {
		if f := rec.Fields["to"]; f.Value != "1992-06-12T06:00" || f.Sure {
			t.Errorf("tank %s: to %v, sure %v", rec.Text("tank"), f.Value, f.Sure)
		}
	}
	if v := r.Records[1].Fields["over_short"].Value; v != -7.0 {
		t.Errorf("over or short %v, want -7", v)
	}
}

// TestProductsOnBothSides: of products over groups of tanks none is sure where it could be that of the
// group before or behind it.
func TestProductsOnBothSides(t *testing.T) {
	r := readTyped("Inventory read at 06:00 25/08/2021\nStation no. 0056   Mill End Fuels\n\nDiesel\n  Tank 1  18240 L  1422 mm  water 0 mm\n  Tank 2   9911 L   987 mm  water 4 mm\n  Both    28151 L\n"+
		"Premium unl.\n  Tank 3   7350 L   812 mm  water 0 mm\nRegular unl.\n  Tank 4  12605 L  1130 mm  water 0 mm\n  Tank 5  14488 L  1241 mm  water 7 mm\n  Both    27093 L\n", parse.Hints{})
	if len(r.Records) < 5 {
		t.Fatalf("%d records, want those of 5 tanks", len(r.Records))
	}
	want := map[string]string{"1": "diesel", "2": "diesel", "3": "premium", "4": "regular", "5": "regular"}
	for _, rec := range r.Records {
		if f := rec.Fields["grade"]; f.Sure && want[rec.Text("tank")] != "" && f.Value != want[rec.Text("tank")] {
			t.Errorf("tank %s: %v, sure", rec.Text("tank"), f.Value)
		}
	}
}

// TestStockBehindDelivery: what is in the tanks after a delivery is surely no delivery to each of them.
func TestStockBehindDelivery(t *testing.T) {
	r := readTyped("DROP REPORT  TANK 1 (UNL)\nStart 6/3/2012 4:55 AM\nEnd   6/3/2012 5:21 AM\nGal before       2,450\nGal after       10,947\nGal dropped      8,497\n\n"+
		"STOCK AFTER DROP\nTank 1 UNL  10,947 gal\nTank 2 SUP   4,008 gal\nTank 3 DSL   6,116 gal\n\nMILL END FUELS 0088\n", parse.Hints{})
	for _, rec := range r.Records {
		if rec.Kind == record.Delivery && rec.Text("tank") != "1" && rec.Sure() {
			t.Errorf("a delivery to tank %s, surely", rec.Text("tank"))
		}
	}
}
