package ocr

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"unicode/utf8"

	"tankroll/internal/score"
	"tankroll/ocr/recognise"
	"tankroll/record"
)

// witnesses are what speaks for the words of a picture: for those read twice their
// characters, by text and box, and for those that only the recognizer read what it
// said of them.
type witnesses struct {
	grid  map[string][]char
	loose []looseWord
}

// looseWord is a word that only the recognizer read, and how it read it.
type looseWord struct {
	record.Word
	of recognise.Word
}

// looseOf are the features of each character of such a word; none for others.
func (by witnesses) looseOf(w record.Word) (out [][nLoose]float64) {
	for _, l := range by.loose {
		if l.Text != w.Text || l.Box != w.Box {
			continue
		}
		for _, s := range l.of.Symbols {
			for range utf8.RuneCountInString(s.Text) {
				out = append(out, looseFeatures(s.Confidence))
			}
		}
		return out
	}
	return nil
}

// dumpEvidence adds a line for every word ("w level right confidence") and
// every character of it ("c level right features…", "l …" where only the
// recognizer read it) to a file. A character is
// right when the best alignment of its line with a printed line puts the same
// one beside it.
func dumpEvidence(t *testing.T, file, level string, want []record.ReadSlip, got []record.Slip, by witnesses) {
	f, err := os.OpenFile(file, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var printed []string
	for _, s := range want {
		for _, l := range s.Text {
			printed = append(printed, strings.Join(strings.Fields(l), " "))
		}
	}
	for _, s := range got {
		for _, l := range s.Lines {
			dumpLine(f, level, l, printed, by)
		}
	}
}

func dumpLine(f *os.File, level string, l record.Line, printed []string, by witnesses) {
	var parts []string
	for _, w := range l.Words {
		parts = append(parts, w.Text)
	}
	line := []rune(strings.Join(parts, " "))
	var beside []int
	var print []rune
	least := 1 << 30
	for _, p := range printed {
		if d, m := score.Align(line, []rune(p)); d < least {
			least, beside, print = d, m, []rune(p)
		}
	}
	at := 0
	for _, w := range l.Words {
		n := len([]rune(w.Text))
		all := true
		loose := by.looseOf(w)
		chars := by.grid[fmt.Sprint(w.Text, w.Box)]
		for i := range n {
			ok := at+i < len(beside) && beside[at+i] >= 0
			all = all && ok
			if i < len(loose) {
				fmt.Fprintf(f, "l %s %v %.4f\n", level, bit(ok), loose[i])
			}
			if i < len(chars) {
				fmt.Fprintf(f, "c %s %v %.4f %c\n", level, bit(ok), chars[i].features(), chars[i].r)
			}
		}
		// A word is right when it was printed so and not as a part of another.
		if all {
			j0, j1 := beside[at], beside[at+n-1]
			all = j1-j0 == n-1 && (j0 == 0 || print[j0-1] == ' ') && (j1+1 == len(print) || print[j1+1] == ' ')
		}
		if strings.ContainsAny(w.Text, "0123456789") || hasLetterOrDigit.MatchString(w.Text) {
			fmt.Fprintf(f, "w %s %v %.5f %s\n", level, bit(all), w.Confidence, w.Text)
		}
		at += n + 1
	}
}

func bit(b bool) int {
	if b {
		return 1
	}
	return 0
}
