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
	begins bool // a sentence begins with it
}

var (
	tokenForm = regexp.MustCompile(`["“”]([^"“”]*)["“”]|[^\s"“”]+`)
	glued     = regexp.MustCompile(`^(tanks?|lines?|sensors?|site|store)#?(\d{1,6})$`)
	twoDates  = regexp.MustCompile(`^(\d{1,2}/\d{1,2}(?:/\d{2,4})?|(?:19|20)\d\d)[-–](\d{1,2}/\d{1,2}(?:/\d{2,4})?|(?:19|20)\d\d)$`)
	shortYear = regexp.MustCompile(`^['’](\d\d)$`)
	orMore    = regexp.MustCompile(`^([\d.,]*\dk?)\+$`)
	numbers   = regexp.MustCompile(`^\d{1,6}(?:[/+&]\d{1,6})+$`)
	eitherOf  = regexp.MustCompile(`^[a-z]{3,}(?:/[a-z]{3,})+$`)
	monthYear = regexp.MustCompile(`^(0?[1-9]|1[0-2])[/-]((?:19|20)\d\d)$`)
	monthSpan = regexp.MustCompile(`^(jan|feb|mar|apr|may|jun|jul|aug|sep|sept|oct|nov|dec|january|february|march|april|june|july|august|september|october|november|december)\.?[-–](jan|feb|mar|apr|may|jun|jul|aug|sep|sept|oct|nov|dec|january|february|march|april|june|july|august|september|october|november|december)$`)
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
	question = compared(question)
	ended := false
	cut, dash, dot := false, false, false // dot: a single one ended the word before
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
			tok := token{word: plain(body), raw: body, cut: cut || before, dash: dash, begins: ended && len(out) > 0 && !unicode.IsLower([]rune(body)[0])}
			ended = strings.ContainsAny(raw[strings.LastIndex(raw, body)+len(body):], ".?!")
			if dot && !before && (unicode.IsLower([]rune(body)[0]) || numberSigns[out[len(out)-1].word]) { // ea. site, no. 120
				tok.cut = false
			}
			out = append(out, tok)
			cut, dash = after, false
			dot = strings.HasSuffix(raw, body+".") && !strings.ContainsAny(body, "0123456789")
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
	if m := monthSpan.FindStringSubmatch(strings.ToLower(bare)); m != nil { // Jan-Mar
		return []string{m[1], "to", m[2] + raw[len(bare):]}
	}
	if a, b, ok := strings.Cut(bare, ".."); ok && dateLike(a) && dateLike(strings.TrimLeft(b, ".")) { // 2023-08-01..2023-10-31
		return []string{a, "to", strings.TrimLeft(b, ".") + raw[len(bare):]}
	}
	if m := shortYear.FindStringSubmatch(bare); m != nil {
		return []string{"20" + m[1] + raw[len(bare):]}
	}
	if m := orMore.FindStringSubmatch(bare); m != nil { // 8000+
		return []string{m[1], "or", "more" + raw[len(bare):]}
	}
	if numbers.MatchString(bare) && !dateLike(bare) { // 119/120/121, 1+2
		list := strings.FieldsFunc(bare, func(r rune) bool { return strings.ContainsRune("/+&", r) })
		out := []string{list[0]}
		for _, n := range list[1:] {
			out = append(out, "and", n)
		}
		return append(out[:len(out)-1], out[len(out)-1]+raw[len(bare):])
	}
	if low := strings.ToLower(bare); eitherOf.MatchString(low) && low != "over/short" && low != "pass/fail" && units[low].scale == 0 { // tank/line tests
		return strings.Split(strings.ReplaceAll(bare, "/", " or ")+raw[len(bare):], " ")
	}
	for _, f := range []*regexp.Regexp{glued, rateGlued, percent} {
		if m := f.FindStringSubmatch(strings.ToLower(bare)); m != nil {
			return []string{m[1], m[2] + raw[len(bare):]}
		}
	}
	return []string{raw}
}

// dateLike reports figures that a date may be written in.
func dateLike(s string) bool {
	return shortForm.MatchString(s) || monthYear.MatchString(s) || figureForm.MatchString(s) || winterForm.MatchString(s) || isoForm.MatchString(s)
}

// compared says in words what is compared by signs outside of quotations.
func compared(question string) string {
	if strings.ContainsAny(question, "\"“”") || !strings.ContainsAny(question, "<>≤≥") {
		return question
	}
	return signs.Replace(question)
}

// signs are comparisons as signs.
var signs = strings.NewReplacer("<=", " at most ", ">=", " at least ", "=<", " at most ", "=>", " at least ", "≤", " at most ", "≥", " at least ", "<", " under ", ">", " over ")

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
