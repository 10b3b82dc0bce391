package main

import (
	"fmt"
	"io"
	"strings"
	"time"

	"tankroll/internal/score"
)

// trust is what a run says of the second reading and of what readings say of
// themselves. Its text is kept as losses are; times are no part of it.
type trust struct {
	made   []string // as of losses
	levels []levelTrust
}

// levelTrust is that of one level. What is called first was read without the
// second reading.
type levelTrust struct {
	level             string
	slips             int
	firstWords, words score.Words
	firstChars, chars score.Chars
	letters, fields   score.Reliability // of both readings
	sure, sureWrong   int               // fields
	firstTook, took   time.Duration
}

// What is wanted of both readings together, more than wanted.go asks of the whole. A
// field that is sure may be wrong once in so many.
const (
	mostCalibration = 0.02
	leastSureRight  = 1000
	mostSlower      = 1.4
	mostErrors      = 0.5 // of those that the first reading makes, where print is weak
)

// wantedF1 is what both readings together are wanted to reach.
var wantedF1 = map[string]float64{"faded": 0.97, "ghost": 0.92, "photo": 0.985}

// weakPrint are the levels at which the second reading is wanted to halve the errors.
var weakPrint = map[string]bool{"faded": true, "ghost": true}

// total is all levels as one.
func (t trust) total() levelTrust {
	sum := levelTrust{level: "all"}
	for _, l := range t.levels {
		sum.slips += l.slips
		sum.firstWords, sum.words = sum.firstWords.Add(l.firstWords), sum.words.Add(l.words)
		sum.firstChars, sum.chars = sum.firstChars.Add(l.firstChars), sum.chars.Add(l.chars)
		sum.letters, sum.fields = sum.letters.Sum(l.letters), sum.fields.Sum(l.fields)
		sum.sure, sum.sureWrong = sum.sure+l.sure, sum.sureWrong+l.sureWrong
		sum.firstTook, sum.took = sum.firstTook+l.firstTook, sum.took+l.took
	}
	return sum
}

// all are the levels and their sum.
func (t trust) all() []levelTrust { return withSum(t.levels, t.total) }

const trustAbout = `# What the second reading gives, and how often what is said of characters and
# fields is right. Written by make bench BENCH=-update; make bench shows what has
# changed since.
`

// String is the text that is kept.
func (t trust) String() string {
	var b strings.Builder
	b.WriteString(keptHead(trustAbout, t.made))
	t.writeReadings(&b)
	b.WriteString("\n")
	t.writeReliability(&b)
	b.WriteString("\n")
	t.writeSure(&b)
	return b.String()
}

// writeReadings sets the first reading alone beside both.
func (t trust) writeReadings(out io.Writer) {
	fmt.Fprintln(out, "first reading alone, and both")
	fmt.Fprintf(out, "%-8s%10s%9s%9s%12s%9s%9s%9s\n", "level", "slips", "word F1", "both", "characters", "errors", "both", "share")
	for _, l := range t.all() {
		fmt.Fprintf(out, "%-8s%10d%9.4f%9.4f%12d%9.4f%9.4f%9.3f\n", l.level, l.slips, l.firstWords.F1(), l.words.F1(),
			l.chars.Printed, l.firstChars.ErrorRate(), l.chars.ErrorRate(), l.errorShare())
	}
}

// errorShare is how many errors both readings make for each of the first.
func (l levelTrust) errorShare() float64 {
	return float64(l.chars.Wrong) / float64(max(1, l.firstChars.Wrong))
}

// slower is how many times the time of the first reading both take.
func (l levelTrust) slower() float64 { return l.took.Seconds() / max(l.firstTook.Seconds(), 1e-9) }

// writeTimes says what the second reading costs, in processor seconds a slip.
func (t trust) writeTimes(out io.Writer) {
	fmt.Fprintf(out, "processor seconds a slip: first reading alone, and both\n%-8s%9s%9s%9s\n", "level", "first", "both", "times")
	for _, l := range t.all() {
		per := func(d time.Duration) float64 { return d.Seconds() / float64(max(1, l.slips)) }
		fmt.Fprintf(out, "%-8s%9.2f%9.2f%9.2f\n", l.level, per(l.firstTook), per(l.took), l.slower())
	}
}

// writeReliability is how often what is said is right, by what is said.
func (t trust) writeReliability(out io.Writer) {
	all := t.total()
	fmt.Fprintf(out, "%-12s%30s%30s\n%-12s%12s%9s%9s%12s%9s%9s\n", "", "characters", "fields", "said", "n", "mean", "right", "n", "mean", "right")
	for i := range score.Bins {
		fmt.Fprintf(out, "%-12s", fmt.Sprintf("%.1f to %.1f", float64(i)/score.Bins, float64(i+1)/score.Bins))
		for _, b := range []score.Bin{all.letters[i], all.fields[i]} {
			if b.N == 0 {
				fmt.Fprintf(out, "%12d%9s%9s", 0, ".", ".")
				continue
			}
			fmt.Fprintf(out, "%12d%9.4f%9.4f", b.N, b.MeanSaid(), b.Share())
		}
		fmt.Fprintln(out)
	}
	fmt.Fprintf(out, "%-12s%30.4f%30.4f\n", "off by", all.letters.Error(), all.fields.Error())
}

// writeSure is how many fields are sure, and how many of those are wrong.
func (t trust) writeSure(out io.Writer) {
	fmt.Fprintf(out, "%-8s%8s%8s%9s%12s%10s%10s%14s%12s\n", "level", "fields", "sure", "doubts", "sure+wrong", "in 1000", "wrong", "letters off", "fields off")
	for _, l := range t.all() {
		n := l.fields.Total()
		fmt.Fprintf(out, "%-8s%8d%8d%9.4f%12d%10.2f%10d%14.4f%12.4f\n", l.level, n.N, l.sure, 1-float64(l.sure)/float64(max(1, n.N)),
			l.sureWrong, 1000*float64(l.sureWrong)/float64(max(1, l.sure)), n.N-n.Right, l.letters.Error(), l.fields.Error())
	}
}

// missed says, one a line, what is wanted and not reached.
func (t trust) missed() []string {
	var out []string
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	for _, l := range t.levels {
		if want, ok := wantedF1[l.level]; ok && l.words.F1() < want {
			add("%s: word F1 %.4f, wanted %.3f", l.level, l.words.F1(), want)
		}
		if weakPrint[l.level] && l.errorShare() > mostErrors {
			add("%s: %.2f of the first reading's character errors, wanted %.2f", l.level, l.errorShare(), mostErrors)
		}
		if l.words.F1() < l.firstWords.F1() || l.chars.Wrong > l.firstChars.Wrong {
			add("%s: worse than the first reading alone", l.level)
		}
		if l.slower() > mostSlower {
			add("%s: %.2f times as long as the first reading alone, wanted %.2f", l.level, l.slower(), mostSlower)
		}
		if l.sureWrong*leastSureRight > l.sure {
			add("%s: %d of %d sure fields wrong, wanted less than one in %d", l.level, l.sureWrong, l.sure, leastSureRight)
		}
	}
	all := t.total()
	for _, r := range []struct {
		name string
		of   score.Reliability
	}{{"characters", all.letters}, {"fields", all.fields}} {
		if e := r.of.Error(); e >= mostCalibration {
			add("%s: what is said is off by %.4f, wanted %.2f", r.name, e, mostCalibration)
		}
	}
	return out
}

// writeTrust writes the tables with the times.
func writeTrust(out io.Writer, t trust) {
	t.writeReadings(out)
	fmt.Fprintln(out)
	t.writeTimes(out)
	fmt.Fprintln(out)
	t.writeReliability(out)
	fmt.Fprintln(out)
	t.writeSure(out)
}
