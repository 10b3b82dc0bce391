package parse

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
)

// spanOfTime reports whether tokens begin with a number of days, weeks, months or years, as a
// request to keep a slip says for how long: 12 MONTHS, 3 YRS.
func spanOfTime(toks []token) bool {
	if len(toks) < 2 || !plainDigits(toks[0].text, 1, 3) {
		return false
	}
	switch strings.TrimSuffix(toks[1].norm, "s") {
	case "day", "week", "month", "year", "wk", "mth", "mo", "yr", "h", "hr", "hour":
		return true
	}
	return false
}

// pumpSentence is how many tokens say in a sentence what became of the pump, before a request: PUMP
// STOPPED. CALL SERVICE; 0 for none.
func pumpSentence(toks []token) int {
	switch toks[0].norm {
	case "pump", "pumps", "stp", "turbine", "dispenser", "dispensers":
	default:
		return 0
	}
	const most = 4 // words
	for n := 1; n < most && n < len(toks)-1; n++ {
		if toks[n].number || toks[n].delim != 0 {
			return 0
		}
		if toks[n].stop == '.' || toks[n].stop == ';' || toks[n].stop == ',' || toks[n+1].blank {
			return n + 1
		}
	}
	return 0
}

// selfCheck reports whether each cell of a line says of a part of the console that it is in order, or
// which page it is: CLOCK OK   PAPER OK   P 1/1.
func (d *doc) selfCheck(toks []token) bool {
	if w := toks[0].norm; !consolePart(w) && w != "page" && w != "p" && w != "pg" {
		return false // most lines
	}
	parts := 0
	for c := range eachCell(toks) {
		switch {
		case d.pageOnly(c) || len(c) == 2 && (c[0].norm == "p" || c[0].norm == "pg") && plainDigits(strings.ReplaceAll(c[1].text, "/", ""), 1, 4):
		case d.partInOrder(c):
			parts++
		default:
			return false
		}
	}
	return parts > 0
}

// partInOrder reports whether words are parts of a console and one that says that they work.
func (d *doc) partInOrder(toks []token) bool {
	n := len(toks) - 1
	if n < 1 || n > 3 {
		return false
	}
	switch toks[n].norm {
	case "ok", "good", "okay", "passed", "normal":
	default:
		return false
	}
	if toks[n-1].norm == "console" {
		return false
	}
	return !slices.ContainsFunc(toks[:n], func(t token) bool { return !consolePart(t.norm) })
}

// consolePart reports whether a word names the console or a part of it.
func consolePart(word string) bool {
	switch word {
	case "console", "clock", "paper", "printer", "battery", "backup", "memory", "ram", "rom", "modem", "display", "ribbon", "roll", "charger", "lamp", "lamps", "buzzer", "keyboard", "keypad":
		return true
	}
	return false
}

// makeByPage reports whether a line is a page number in a cell of its own beside cells that each
// begin with a word for the console's make, which then needs no figure that no equipment has:
// MODEL 3E     PAGE 1/1.
func (d *doc) makeByPage(toks []token) bool {
	pages, makes := 0, 0
	for c := range eachCell(toks) {
		switch code, cost, n := d.code(lexicon.Apparatus, c); {
		case d.pageOnly(c):
			pages++
		case n > 0 && cost == 0 && code == "make" && n < len(c) && len(c) <= n+2 && hasDigit(c[n].text):
			makes++
		default:
			return false
		}
	}
	return pages == 1 && makes > 0
}

// consoleNumber is how many tokens begin with a word for the console, one for its type or number
// and a figure: CONTROLLER TYPE 3, DEVICE NO. 0311-7745; 0 for none.
func consoleNumber(toks []token) int {
	if len(toks) < 3 || toks[0].delim != 0 || toks[1].delim != 0 && !toks[2].number {
		return 0
	}
	switch toks[0].norm {
	case "console", "unit", "controller", "monitor", "gauge", "device", "equipment", "system", "apparatus", "instrument":
	default:
		return 0
	}
	switch strings.Trim(toks[1].norm, ".:") {
	case "type", "model", "no", "number", "serial", "id", "nr", "ser":
	default:
		return 0
	}
	if !hasDigit(toks[2].text) || toks[2].gap >= wideGap && toks[1].delim == 0 {
		return 0
	}
	return 3
}

// closingCells reports whether each cell of a line says which page it is, what the console is, or
// no more than a usual closing line, which a number in brackets may stand before: PAGE 1 OF 1
// beside THANK YOU, (1121) END OF REPORT.
func (d *doc) closingCells(toks []token) bool {
	asks := len(toks) > 1 && bracketedNumber(toks[0])
	for i := range toks {
		asks = asks || toks[i].norm == "page" && starts(toks, i)
	}
	if !asks {
		return false // most lines
	}
	for c := range eachCell(toks) {
		numbered := len(c) > 1 && bracketedNumber(c[0])
		if numbered {
			c = c[1:]
		}
		code, cost, ok := d.whole(lexicon.Skip, c)
		if closes := ok && cost == 0 && code == "closing"; !closes && (numbered || !d.pageOnly(c) && !d.madeAs(c)) || len(c) == len(toks) {
			return false // courtesy and imprint tell a line that says no more
		}
	}
	return true
}

// dateForm reports whether a line says how dates are written on the slip, and holds no figure:
// DATE FORMAT DD/MM/YYYY.
func dateForm(toks []token) bool {
	found := false
	for _, t := range toks {
		if hasDigit(t.text) {
			return false
		}
		found = found || writesDates(t.norm)
	}
	return found && len(toks) > 1
}

// writesDates reports whether a word is letters for day, month and year between marks, in any
// order: DD/MM/YYYY, M-D-Y.
func writesDates(word string) bool {
	if strings.Trim(word, "dmy/-.") != "" {
		return false // most words, without cutting them
	}
	parts := strings.FieldsFunc(word, func(r rune) bool { return r == '/' || r == '-' || r == '.' })
	seen := 0
	for _, p := range parts {
		if p == "" || strings.Trim(p, p[:1]) != "" || !strings.Contains("dmy", p[:1]) {
			return false
		}
		seen |= 1 << strings.IndexByte("dmy", p[0])
	}
	return len(parts) == 3 && seen == 7
}
