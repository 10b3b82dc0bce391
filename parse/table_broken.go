package parse

import "strings"

// brokenWord reports whether a word of a heading goes on in the line below: CAPA-.
func brokenWord(t token) bool {
	const fewest = 3 // letters before the stroke
	return len(t.text) > fewest && strings.HasSuffix(t.text, "-") && isLetter(t.text[len(t.text)-2])
}

// belowBroken reports whether a word stands below one that goes on in its line.
func belowBroken(upper [][]token, t token) bool {
	for _, c := range upper {
		if last := c[len(c)-1]; brokenWord(last) && t.col < last.end && t.end > c[0].col {
			return true
		}
	}
	return false
}
