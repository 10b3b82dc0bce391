package query

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// The most of a question that is looked at; a person asks in far fewer words.
const (
	maxBytes = 2000
	maxWords = 120
)

// token is a word of the question, or a quoted phrase.
type token struct {
	word   string // lower case, without punctuation around it
	raw    string // as asked
	quoted bool
	cut    bool // punctuation parts it from the word before
	dash   bool // a dash between spaces does
}

var (
	tokenForm = regexp.MustCompile(`["“”]([^"“”]*)["“”]|[^\s"“”]+`)
	glued     = regexp.MustCompile(`^(tanks?|lines?|sensors?|site|store)#?(\d{1,6})$`)
	twoDates  = regexp.MustCompile(`^(\d{1,2}/\d{1,2}/\d{2,4}|(?:19|20)\d\d)[-–](\d{1,2}/\d{1,2}/\d{2,4}|(?:19|20)\d\d)$`)
	percent   = regexp.MustCompile(`^([\d.]+)(%)$`)
	rateGlued = regexp.MustCompile(`^(\d*\.\d+|\d)-?(gph|gal/hr?|l/h|lph)$`)
)

// split cuts a question into words and quoted phrases; rest says that it was
// too long to be looked at whole.
func split(question string) (out []token, rest bool) {
	if len(question) > maxBytes {
		question, rest = strings.ToValidUTF8(question[:maxBytes], ""), true
	}
	question = strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || unicode.IsControl(r) || r == utf8.RuneError {
			return ' '
		}
		return r
	}, question)
	cut, dash := false, false
	for _, m := range tokenForm.FindAllStringSubmatchIndex(question, -1) {
		if m[2] >= 0 {
			if phrase := strings.Join(strings.Fields(question[m[2]:m[3]]), " "); phrase != "" {
				out = append(out, token{word: strings.ToLower(phrase), raw: phrase, quoted: true, cut: cut})
				cut = false
			}
			continue
		}
		for _, raw := range pieces(question[m[0]:m[1]]) {
			before, body, after := trim(raw)
			if body == "" {
				cut, dash = true, strings.Trim(raw, "-–—") == ""
				continue
			}
			out = append(out, token{word: plain(body), raw: body, cut: cut || before, dash: dash})
			cut, dash = after, false
		}
	}
	if len(out) > maxWords {
		out, rest = out[:maxWords], true
	}
	return out, rest
}

// pieces parts "#2", "tank2", "0.2gph" and "1%".
func pieces(raw string) []string {
	if strings.HasPrefix(raw, "#") && len(raw) > 1 {
		return []string{"#", raw[1:]}
	}
	if strings.Count(raw, "-") >= 2 && strings.Trim(raw, "-") == raw && !strings.ContainsAny(raw, "0123456789") { // out-of-tolerance
		return strings.Split(raw, "-")
	}
	bare := strings.TrimRight(raw, "?,;:!.")
	if m := twoDates.FindStringSubmatch(bare); m != nil {
		return []string{m[1], "to", m[2] + raw[len(bare):]}
	}
	for _, f := range []*regexp.Regexp{glued, rateGlued, percent} {
		if m := f.FindStringSubmatch(strings.ToLower(bare)); m != nil {
			return []string{m[1], m[2] + raw[len(bare):]}
		}
	}
	return []string{raw}
}

// trim takes punctuation off both ends; a point before a digit belongs to it.
func trim(raw string) (before bool, body string, after bool) {
	const marks = ",;:!?()[]{}<>'`*…"
	body = strings.TrimLeft(raw, marks+".-–—")
	if i := len(raw) - len(body); i > 0 && raw[i-1] == '.' && body != "" && unicode.IsDigit(rune(body[0])) {
		body = raw[i-1:]
	}
	before = len(body) < len(raw) && raw[0] != '.'
	was := len(body)
	body = strings.TrimRight(body, marks+".-–—")
	return before, body, len(body) < was
}

// plain is the form in which words are compared: "Didn't" is "didnt",
// "Tank's" is "tank".
func plain(body string) string {
	w := strings.ReplaceAll(strings.ToLower(body), "’", "'")
	w = strings.TrimSuffix(w, "'s")
	w = strings.ReplaceAll(w, "'", "")
	switch w {
	case "&", "+":
		return "and"
	case "@":
		return "at"
	}
	return w
}
