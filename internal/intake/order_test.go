package intake

import (
	"context"
	"fmt"
	"testing"

	"tankroll/archive"
	"tankroll/parse"
	"tankroll/record"
)

// keepTyped keeps a typed slip as if it had been read from a picture.
func keepTyped(t *testing.T, d *Desk, name, printed, ended string) string {
	t.Helper()
	ctx := context.Background()
	text := fmt.Sprintf("MARLOW CORNER FUELS\nSITE NO. 9\nPRINTED %s 06:46\n\nTANK LEAK TEST\nTANK 3   DIESEL\nTEST RATE ....... 0.2 GAL/HR\n"+
		"ENDED ........... %s 05:55\nLEAK RATE ....... -0.016 GAL/HR\nTHRESHOLD ....... 0.100 GAL/HR\nRESULT .......... PASSED\n", printed, ended)
	c, _, err := d.Store().Keep(ctx, name, []byte(text), "")
	if err != nil {
		t.Fatal(err)
	}
	r := archive.Reading{Page: 1, GrammarVersion: parse.Version}
	for _, s := range parse.Typed(text) {
		r.Slips = append(r.Slips, archive.SlipReading{Slip: s, Report: parse.Slip(s, Hints(d.now(), ""))})
	}
	if err := d.Store().SaveReadings(ctx, c.ID, []archive.Reading{r}); err != nil {
		t.Fatal(err)
	}
	return c.ID
}

func endedAt(t *testing.T, d *Desk, capture string) record.Field {
	t.Helper()
	rows, err := d.Store().Rows(context.Background(), archive.Filter{Capture: capture})
	if err != nil || len(rows) != 1 {
		t.Fatalf("%d records, %v", len(rows), err)
	}
	return rows[0].Record.Fields["ended_at"]
}

// TestSettle: 05/07 alone is doubted; once two other slips of the site are
// dated in one way only, it is not.
func TestSettle(t *testing.T) {
	for _, c := range []struct{ name, second, third, want string }{
		{"month first", "05/14/26", "06/18/26", "2026-05-07T05:55"},
		{"day first", "14/05/26", "18/06/26", "2026-07-05T05:55"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := desk(t, t.TempDir())
			ctx := context.Background()
			open := keepTyped(t, d, "a", "05/07/26", "05/07/26")
			if f := endedAt(t, d, open); f.Sure {
				t.Fatalf("a date in either order is sure: %v", f.Value)
			}
			keepTyped(t, d, "b", c.second, c.second)
			if n, err := d.Settle(ctx); err != nil || n != 0 {
				t.Errorf("settled %d by a single slip, %v", n, err)
			}
			keepTyped(t, d, "c", c.third, c.third)
			if n, err := d.Settle(ctx); err != nil || n != 1 {
				t.Errorf("settled %d, %v", n, err)
			}
			if f := endedAt(t, d, open); !f.Sure || f.String() != c.want {
				t.Errorf("now %v, sure %v; want %s", f.Value, f.Sure, c.want)
			}
		})
	}
}

// TestSettleNeedsAgreement: a site that prints both orders settles nothing.
func TestSettleNeedsAgreement(t *testing.T) {
	d := desk(t, t.TempDir())
	open := keepTyped(t, d, "a", "05/07/26", "05/07/26")
	keepTyped(t, d, "b", "05/14/26", "05/14/26")
	keepTyped(t, d, "c", "06/18/26", "06/18/26")
	keepTyped(t, d, "d", "14/05/26", "14/05/26")
	if n, err := d.Settle(context.Background()); err != nil || n != 0 {
		t.Errorf("settled %d, %v", n, err)
	}
	if f := endedAt(t, d, open); f.Sure {
		t.Errorf("sure of %v", f.Value)
	}
}
