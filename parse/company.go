package parse

import (
	"math"

	"tankroll/parse/tagger"
	"tankroll/record"
)

// company is what is known of the records of a slip together. A record that was made of the wrong
// words seldom looks like the others, and leaves words over.
type company struct {
	agreed float64                // the mean log odds that the second reading takes fields for what they are
	most   map[subject]int        // fields of the record of a kind and class that has most
	named  map[subject]int        // records of a kind and class that are of one thing
	free   map[tagger.Tag]float64 // how likely the likeliest word that no record took is a field
}

// subject is what records are of; what is not printed is "".
type subject struct {
	kind        record.Kind
	class, name string // of a test; of a tank, line, sensor or device, and when
}

func classOfRecord(r record.Record) subject {
	return subject{kind: r.Kind, class: r.Fields["test_class"].String()}
}

func subjectOf(r record.Record) subject {
	s := classOfRecord(r)
	s.name = r.Fields[ownName(r.Kind)].String()
	for _, moment := range []string{"ended_at", "at", "started_at"} {
		if f, ok := r.Fields[moment]; ok {
			s.name += " " + f.String()
			break
		}
	}
	return s
}

// company asks the second reading for all fields of a slip and counts how its records go together.
func (d *doc) company(all []*built) company {
	c := company{most: map[subject]int{}, named: map[subject]int{}}
	sum, n := 0.0, 0
	taken := map[int]bool{}
	for _, b := range all {
		b.odds = map[string]float64{}
		c.most[classOfRecord(b.rec)] = max(c.most[classOfRecord(b.rec)], says(b.rec))
		c.named[subjectOf(b.rec)]++
		for _, name := range b.rec.FieldNames() {
			f := b.reads[name]
			b.odds[name] = d.secondOdds(b.rec.Kind, name, f)
			sum, n = sum+b.odds[name], n+1
			if d.second != nil && f != nil {
				for _, w := range d.second.wordsOf(f.read.toks) {
					taken[w] = true
				}
			}
		}
	}
	c.agreed = sum / float64(max(n, 1))
	if d.second != nil {
		c.free = d.second.tags.Most(func(word int) bool { return !taken[word] })
	}
	return c
}

// of is what a record's company says of each of its fields.
func (c company) of(b *built) evidence {
	e := evidence{
		least:  math.Inf(1),
		agreed: c.agreed,
		share:  float64(says(b.rec)) / float64(max(c.most[classOfRecord(b.rec)], 1)),
		twins:  c.named[subjectOf(b.rec)] - 1,
	}
	for _, name := range b.rec.FieldNames() { // always in the same order: sums of rounded numbers
		e.least = min(e.least, b.odds[name])
		e.mean += b.odds[name] / float64(len(b.rec.Fields))
	}
	return e
}

// says is how many fields a record has beside those that tell more closely what it is of.
func says(r record.Record) int {
	n := 0
	for name := range r.Fields {
		switch name {
		case "product", "grade", "device_number":
		default:
			n++
		}
	}
	return n
}
