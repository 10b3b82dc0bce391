package parse

import "strings"

// unquote takes the marks off words that stand between quotes: TANK 1 "REGULAR". A mark
// that closes nothing is the unit of inches.
func (c *cutter) unquote() {
	const most = 6 // words between quotes
	for i := range c.out {
		text := c.out[i].text
		if len(text) < 2 || text[0] != '"' || !isLetter(text[1]) && !isDigit(rune(text[1])) {
			continue
		}
		for j := i; j < len(c.out) && j < i+most; j++ {
			last := &c.out[j]
			if j == i && len(text) < 3 || !strings.HasSuffix(last.text, `"`) {
				continue
			}
			c.out[i].cutText(1, len(c.out[i].text))
			if last.text == `"` { // cut off as a unit
				c.out = append(c.out[:j:j], c.out[j+1:]...)
			} else {
				last.cutText(0, len(last.text)-1)
			}
			return
		}
	}
}

// cutText keeps a part of a token's text.
func (t *token) cutText(from, to int) {
	t.text = t.text[from:to]
	t.norm = strings.ToLower(t.text)
}
