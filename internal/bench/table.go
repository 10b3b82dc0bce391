package main

import (
	"fmt"
	"io"
	"strings"
	"time"

	"tankroll/internal/score"
)

// columns of the first table, as wide as what stands in them. Rows are written
// one at a time, so the width cannot be found from all of them.
var columns = []struct {
	head  string
	width int
}{
	{"", 6}, {"word F1", 8}, {"plain", 6}, {"slips", 8}, {"extra", 6}, {"turn", 8}, {"fields", 7}, {"whole", 7}, {"doubtful", 9}, {"sure+wrong", 11},
	{"spurious", 9}, {"stripe", 7}, {"invented", 9}, {"MP", 5}, {"s", 6}, {"plain s", 8}, {"ratio", 6}, {"peak MB", 8},
}

func writeHeader(out io.Writer) {
	heads := make([]string, len(columns))
	for i, c := range columns {
		heads[i] = c.head
	}
	writeCells(out, heads)
}

func writeCells(out io.Writer, cells []string) {
	var b strings.Builder
	for i, c := range cells {
		fmt.Fprintf(&b, "%*s", columns[i].width, c)
	}
	fmt.Fprintln(out, strings.TrimRight(b.String(), " "))
}

// writeRow writes one level. Slips are those found of those printed, turn is of those
// found, and a stripe of a slip that was not found is not seen. MP is the mean of the pictures in millions of
// pixels, ratio the time against plain tesseract's.
func writeRow(out io.Writer, level string, r result) {
	per := func(d time.Duration) float64 { return d.Seconds() / float64(max(1, r.pictures)) }
	read := max(1, r.fields.Right+r.fields.Wrong)
	writeCells(out, []string{
		level,
		fmt.Sprintf("%.3f", r.words.F1()), fmt.Sprintf("%.3f", r.plain.F1()),
		ratio(r.paper.found, r.paper.slips), fmt.Sprint(r.paper.extra), ratio(r.paper.turn.right, r.paper.found),
		fmt.Sprintf("%.3f", r.fields.Accuracy()), ratio(r.fields.Whole, r.fields.Records),
		fmt.Sprintf("%.3f", float64(r.fields.Doubtful)/float64(read)), ratio(r.fields.SureWrong, read), fmt.Sprint(r.fields.Spurious),
		ratio(r.paper.stripe.seen, r.paper.stripe.there), fmt.Sprint(r.paper.stripe.invented),
		fmt.Sprintf("%.1f", float64(r.pixels)/1e6/float64(max(1, r.pictures))),
		fmt.Sprintf("%.2f", per(r.took)), fmt.Sprintf("%.2f", per(r.plainTook)),
		fmt.Sprintf("%.2f", r.took.Seconds()/max(r.plainTook.Seconds(), 1e-9)), fmt.Sprint(r.peak >> 10),
	})
}

// lossFormat lays out a row of the second table.
const lossFormat = "%-8s%6v%9v%7v%6v%6v%6v%13v%9v%9v%7v%6v%6v%13v\n"

var lossHead = fmt.Sprintf("%-8s%6s%28s%18s%43s\n", "", "", "", "lost by", "invented by") +
	fmt.Sprintf(lossFormat, "level", "seed", "printed", "right", "paper", "turn", "line", "recognition", "read", "misread", "paper", "turn", "line", "recognition")

// lossLine is a row; seed is "all" for a whole level.
func lossLine(level string, seed any, l score.Losses) string {
	return fmt.Sprintf(lossFormat, level, seed, l.Printed, l.Right,
		l.Lost.Paper, l.Lost.Turn, l.Lost.Line, l.Lost.Recognition, l.Read, l.Misread(),
		l.Invented.Paper, l.Invented.Turn, l.Invented.Line, l.Invented.Recognition)
}

// writeLosses writes the second table: which stage lost how many words.
func writeLosses(out io.Writer, levels []string, now losses) {
	fmt.Fprint(out, lossHead)
	for _, level := range levels {
		if now.has(level) {
			fmt.Fprint(out, lossLine(level, "all", now.level(level)))
		}
	}
}

// inWords is one level's losses in a sentence.
func inWords(l score.Losses) string {
	s := func(s score.Stages) string {
		return fmt.Sprintf("paper %d, turn %d, line %d, recognition %d", s.Paper, s.Turn, s.Line, s.Recognition)
	}
	return fmt.Sprintf("%d of %d words right; lost by %s; invented by %s", l.Right, l.Printed, s(l.Lost), s(l.Invented))
}

// writeChanges says what differs from the losses that are kept, picture by
// picture: a stage that loses fewer words of a picture has won them, one that
// loses more has lost them.
func writeChanges(out io.Writer, file string, kept, now losses) {
	if len(kept.rows) == 0 {
		fmt.Fprintf(out, "no losses are kept in %s: -update keeps these\n", file)
		return
	}
	same, changes := 0, map[string]*change{}
	var levels []string
	for _, r := range now.rows {
		old, ok := kept.row(r.level, r.seed)
		if !ok {
			continue
		}
		if old.Printed != r.Printed {
			fmt.Fprintf(out, "not compared: %s %d has %d words printed, %d when %s was made: keep new losses with -update\n", r.level, r.seed, r.Printed, old.Printed, file)
			continue
		}
		same++
		if changes[r.level] == nil {
			changes[r.level] = &change{}
			levels = append(levels, r.level)
		}
		changes[r.level].add(old.Losses, r.Losses)
	}
	fmt.Fprintf(out, "against %s, %d of %d pictures: words won/lost by each stage, picture by picture\n", file, same, len(now.rows))
	for i, m := range now.made {
		if i < len(kept.made) && kept.made[i] != m {
			fmt.Fprintf(out, "  made with %s, now %s\n", kept.made[i], m)
		}
	}
	if same == 0 {
		return
	}
	fmt.Fprintf(out, changeFormat, "level", "all", "paper", "turn", "line", "recognition", "invented")
	for _, level := range levels {
		c := changes[level]
		fmt.Fprintf(out, changeFormat, level, c.all, c.paper, c.turn, c.line, c.recognition, c.invented)
	}
}

const changeFormat = "%-8s%10v%10v%10v%10v%13v%10v\n"

// change is what one level won and lost, by stage.
type change struct{ all, paper, turn, line, recognition, invented wonLost }

func (c *change) add(old, now score.Losses) {
	c.all.add(old.Printed-old.Right, now.Printed-now.Right)
	c.paper.add(old.Lost.Paper, now.Lost.Paper)
	c.turn.add(old.Lost.Turn, now.Lost.Turn)
	c.line.add(old.Lost.Line, now.Lost.Line)
	c.recognition.add(old.Lost.Recognition, now.Lost.Recognition)
	c.invented.add(old.Invented.Sum(), now.Invented.Sum())
}

type wonLost struct{ won, lost int }

func (w *wonLost) add(old, now int) {
	w.won += max(0, old-now)
	w.lost += max(0, now-old)
}

func (w wonLost) String() string {
	if w == (wonLost{}) {
		return "."
	}
	return fmt.Sprintf("%d/%d", w.won, w.lost)
}
