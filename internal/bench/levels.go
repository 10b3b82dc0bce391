package main

import (
	"fmt"
	"io"
	"strings"
)

// levels are the results of a run, level by level. Their text, which is kept as that of
// trust is, says what was found and told of the slips, and what of their fields.
type levels struct {
	made []string // as of losses
	rows []result
}

// all are the levels and their sum.
func (l levels) all() []result { return withSum(l.rows, l.total) }

// total is all levels as one, as far as their text tells of them.
func (l levels) total() result {
	sum := result{level: "all"}
	for _, r := range l.rows {
		sum.paper, sum.fields = sum.paper.sum(r.paper), sum.fields.Add(r.fields)
	}
	return sum
}

const levelsAbout = `# Which slips are found, what is said of their paper, and how many fields and whole
# records are right. Written by make bench BENCH=-update; make bench shows what has
# changed since.
`

// String is the text that is kept.
func (l levels) String() string {
	var b strings.Builder
	b.WriteString(keptHead(levelsAbout, l.made))
	l.write(&b)
	b.WriteString("\n")
	l.writeFields(&b)
	return b.String()
}

// write writes what is found and told of the paper.
func (l levels) write(out io.Writer) {
	fmt.Fprintln(out, "paper: of the slips printed those found, and of those found what is said")
	fmt.Fprintf(out, "%-8s%7s%7s%7s%7s%7s%9s%10s%9s%10s%9s%9s%9s\n",
		"level", "slips", "found", "extra", "whole", "turn", "stripe", "invented", "cut off", "invented", "blurred", "ink by", "corner")
	for _, r := range l.all() {
		p := r.paper
		fmt.Fprintf(out, "%-8s%7d%7d%7d%7d%7d%9s%10s%9s%10s%9d%9.4f%9.4f\n", r.level, p.slips, p.found, p.extra, p.whole, p.turn.right,
			ratio(p.stripe.seen, p.stripe.there), ratio(p.stripe.invented, p.stripe.absent),
			ratio(p.cut.seen, p.cut.there), ratio(p.cut.invented, p.cut.absent),
			p.blurred, p.inkOff/float64(max(1, p.found)), p.cornerOff())
	}
	fmt.Fprintln(out, "\nhow sure it is of them, where right and where wrong")
	fmt.Fprintf(out, "%-8s%9s%9s%9s%9s%9s%9s\n", "level", "turn", "wrong", "stripe", "wrong", "cut off", "wrong")
	for _, r := range l.all() {
		fmt.Fprintf(out, "%-8s", r.level)
		for _, s := range []said{r.paper.turn, r.paper.stripe.said, r.paper.cut.said} {
			fmt.Fprintf(out, "%9s%9s", mean(s.sureRight, s.right), mean(s.sureWrong, s.wrong))
		}
		fmt.Fprintln(out)
	}
}

// writeFields writes how many fields and records are right.
func (l levels) writeFields(out io.Writer) {
	fmt.Fprintf(out, "%-8s%9s%9s%9s%9s%9s%9s%9s\n", "level", "fields", "right", "wrong", "missing", "records", "whole", "spurious")
	for _, r := range l.all() {
		f := r.fields
		fmt.Fprintf(out, "%-8s%9d%9d%9d%9d%9d%9d%9d\n", r.level, f.Truth, f.Right, f.Wrong, f.Missing, f.Records, f.Whole, f.Spurious)
	}
}

func ratio(a, b int) string { return fmt.Sprintf("%d/%d", a, b) }

// mean is that of n values; "." of none.
func mean(sum float64, n int) string {
	if n == 0 {
		return "."
	}
	return fmt.Sprintf("%.3f", sum/float64(n))
}
