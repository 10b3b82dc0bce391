package comply

import (
	"fmt"
	"time"
)

// Date is a calendar day at the site; it has no time of day and no zone. The
// zero Date is no date.
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// ParseDate reads 2025-03-14, also at the start of 2025-03-14T06:41.
func ParseDate(s string) (Date, error) {
	if len(s) > 10 && s[10] == 'T' {
		s = s[:10]
	}
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return Date{}, fmt.Errorf("date %q must be like 2025-03-14", s)
	}
	return dateOf(t), nil
}

func dateOf(t time.Time) Date { return Date{t.Year(), t.Month(), t.Day()} }

// noon is far from any change of clocks.
func (d Date) noon() time.Time { return time.Date(d.Year, d.Month, d.Day, 12, 0, 0, 0, time.UTC) }

// IsZero reports whether there is no date.
func (d Date) IsZero() bool { return d == Date{} }

// AddDays is the date n days later.
func (d Date) AddDays(n int) Date { return dateOf(d.noon().AddDate(0, 0, n)) }

// DaysSince is how many days after o it is; negative before it.
func (d Date) DaysSince(o Date) int { return int(d.noon().Sub(o.noon()).Hours() / 24) }

// Before reports whether d is earlier than o.
func (d Date) Before(o Date) bool { return d.noon().Before(o.noon()) }

// firstOfMonth and lastOfMonth are the ends of the date's calendar month.
func (d Date) firstOfMonth() Date { return Date{d.Year, d.Month, 1} }

func (d Date) lastOfMonth() Date {
	return dateOf(time.Date(d.Year, d.Month+1, 0, 12, 0, 0, 0, time.UTC))
}

// String writes 2025-03-14, "" for no date.
func (d Date) String() string {
	if d.IsZero() {
		return ""
	}
	return d.noon().Format(time.DateOnly)
}

// MarshalText writes what String does.
func (d Date) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads what MarshalText wrote.
func (d *Date) UnmarshalText(b []byte) (err error) {
	if len(b) == 0 {
		*d = Date{}
		return nil
	}
	*d, err = ParseDate(string(b))
	return err
}
