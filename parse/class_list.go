package parse

import "tankroll/record"

// classList reads what a label says of several tests, a line for each below it:
//
//	LAST PASSED
//	  3.0 GPH  03/14/24 06:41        or   HOURLY   03/14/24 06:41
//	  0.2 GPH  03/13/24 02:05             MONTHLY  03/13/24 02:05
func (d *doc) classList(k record.Kind, lines []line, i int) (structure, bool) {
	if k != record.LineSummary || i+1 >= len(lines) {
		return structure{}, false
	}
	head, ok := d.passHeading(lines[i].toks)
	if !ok || len(head) != 1 || head[0].class != nil || !d.namesPass(head[0].toks) {
		return structure{}, false
	}
	s := structure{worth: float64(len(lines[i].toks)), lines: 1}
	seen := map[string]bool{}
	for j := i + 1; j < len(lines); j++ {
		toks := lines[j].toks
		if lines[j].rule || lines[j].head || len(toks) < 2 {
			break
		}
		class, n := d.passClass(toks, 0)
		if n == 0 || n >= len(toks) || seen[class.read.class] {
			break
		}
		v, used := d.passValue(toks[n:])
		if used < len(toks)-n || len(v.reads) != 1 && !v.none {
			break
		}
		c := passColumn{toks: head[0].toks, dated: v.dated || v.none}
		if !d.passFields(&c) {
			break
		}
		f := fact{field: fieldNone, read: reading{used: used, toks: toks[n:]}, label: head[0].toks, cost: c.cost, printed: true}
		if !v.none {
			f.field, f.read = c.fields[0], v.reads[0]
		}
		seen[class.read.class] = true
		s.entries = append(s.entries, entry{facts: []fact{class, f}})
		s.lines, s.worth = s.lines+1, s.worth+float64(len(toks))+2*factWorth
	}
	return s, len(s.entries) > 0
}
