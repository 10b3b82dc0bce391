package query

// alternative is another meaning of the question, told by what it changes.
type alternative struct {
	say    string
	change func(*Query)
}

// maxReadings bounds the meanings that are shown.
const maxReadings = 6

func (p *parser) alternative(say string, change func(*Query)) {
	p.alts = append(p.alts, alternative{say, change})
}

// readings are the question's other meanings, each as a question that means it.
func (p *parser) readings() []Reading {
	base := p.q
	base.Assumed, base.NotUnderstood = nil, nil
	seen := map[string]bool{base.String(): true}
	var out []Reading
	for _, a := range append(p.alts, p.dates.alts...) {
		q := base
		a.change(&q)
		if q.From != "" && q.To != "" && q.From > q.To {
			continue
		}
		if ask := q.String(); !seen[ask] && len(out) < maxReadings {
			seen[ask] = true
			out = append(out, Reading{a.say, ask})
		}
	}
	return out
}
