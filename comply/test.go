package comply

import (
	"time"

	"tankroll/record"
)

// NewTest makes a Test from a tank test record; ok is false for other kinds.
// siteSure says that nothing is in doubt about the site. The test is sure only
// when all that the rule rests on is: the tank, the class, the result, and the
// day on which it ended. The day of printing does not stand for that day, since
// old results are printed again.
func NewTest(id, site string, siteSure bool, r record.Record, h record.Header) (t Test, ok bool) {
	if r.Kind != record.TankTest {
		return Test{}, false
	}
	t = Test{ID: id, Site: site, Tank: r.Text("tank"), Product: r.Text("product"), Grade: r.Text("grade"),
		Class: r.Text("test_class"), Result: r.Text("result")}
	sure := siteSure
	for _, name := range []string{"tank", "test_class", "result"} {
		sure = sure && sureField(r, name)
	}
	var dated bool
	t.At, dated = ended(r)
	if t.At == "" {
		t.At, _ = r.At(h)
	}
	t.Sure = sure && dated
	return t, true
}

// ended is when a test ended: as printed, else its start and its duration.
func ended(r record.Record) (at string, sure bool) {
	if at := r.Text("ended_at"); at != "" {
		return at, sureField(r, "ended_at")
	}
	const form = "2006-01-02T15:04"
	start, err := time.Parse(form, r.Text("started_at"))
	hours, ok := r.Fields["duration"].Number()
	if err != nil || !ok || hours < 0 || hours > 1000 {
		return "", false
	}
	end := start.Add(time.Duration(hours * float64(time.Hour)))
	return end.Format(form), sureField(r, "started_at") && sureField(r, "duration")
}

// sureField reports whether a field is there and nothing speaks against it.
func sureField(r record.Record, name string) bool {
	if f, ok := r.Fields[name]; !ok || !f.Sure {
		return false
	}
	for _, d := range r.Doubts {
		if d.Field == name || d.Field == "" {
			return false
		}
	}
	return true
}
