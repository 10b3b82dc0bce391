package query

import "strings"

// Marks are what can be asked of a record itself, whatever it says: whether it is
// sure, and what people did with it. The first of each is its code with spaces.
var marks = []struct {
	code  string
	words []string
}{
	{"doubtful", []string{"doubtful", "in doubt", "unsure", "not sure", "questionable", "still to check", "still need to check", "need to check", "needs checking",
		"need checking", "needs to be checked", "need to be checked", "to be checked", "to check", "need review", "needs review", "to review", "to be reviewed", "not certain", "shaky", "dubious", "suspect"}},
	{"sure", []string{"sure", "certain", "without doubt", "not in doubt", "not doubtful", "without doubts", "beyond doubt"}},
	{"not_confirmed", []string{"not confirmed", "unconfirmed", "not yet confirmed", "not been confirmed", "unverified", "not verified", "nobody confirmed", "no one confirmed"}},
	{"confirmed", []string{"confirmed", "verified", "vouched for"}},
	{"by_hand", []string{"by hand", "typed in from paper", "typed in by hand", "typed in", "entered by hand", "entered manually", "manually entered", "typed by hand", "typed", "hand entered",
		"hand-entered", "keyed in", "manual entry", "manual entries"}},
	{"corrected", []string{"corrected", "corrected by hand", "correct by hand", "fixed by hand", "changed by hand", "corrections", "amended", "hand corrected"}},
	{"not_followed_up", []string{"not followed up", "not yet followed up", "not followed up yet", "not been followed up", "never followed up", "nobody followed up", "no one followed up",
		"no follow up", "no follow-up", "without follow up", "without follow-up", "without a follow-up", "with no follow-up", "with no follow up", "not yet been followed up", "still to follow up", "to follow up", "unattended",
		"unresolved", "not resolved", "unaddressed", "not addressed", "unhandled", "not handled", "nobody handled", "not dealt with", "nobody dealt with", "no one dealt with"}},
	{"followed_up", []string{"followed up", "followed-up", "was followed up", "were followed up"}},
}

// Marks lists the codes of marks.
func Marks() []string {
	var out []string
	for _, m := range marks {
		out = append(out, m.code)
	}
	return out
}

// marked reads "doubtful", "typed in from paper" and "not yet followed up".
func (p *parser) marked(i int) int {
	lead := 0
	if p.w[i] == "marked" {
		lead = 1
	}
	if i+lead < len(p.w) && helpers[p.w[i+lead]] { // "have not been followed up"
		lead++
	}
	for n := 6; n >= 1; n-- {
		s := p.from(i+lead, n)
		if s == "" || p.cutInside(i, n+lead) {
			continue
		}
		if n > 1 {
			s = bare(s)
		}
		for _, m := range marks {
			if !has(m.words, s) {
				continue
			}
			if k := len(p.q.Marks); k > 0 && i > 0 && p.w[i-1] == "or" && lead == 0 {
				p.q.Marks[k-1] += "," + m.code // any of them
			} else if !has(p.q.Marks, m.code) {
				p.q.Marks = append(p.q.Marks, m.code)
			}
			if m.code == "not_followed_up" || m.code == "followed_up" {
				p.assume("followed up is taken to mean that a person wrote down what was done about it, as tankroll follow-up does")
			}
			return lead + n
		}
	}
	return 0
}

// bare takes out of words about what people did those that change nothing: "nobody
// has yet followed up" is "nobody followed up", "hasn't been" is "not".
func bare(s string) string {
	var out []string
	for i, w := range strings.Fields(s) {
		switch {
		case i > 0 && (helpers[w] || has([]string{"been", "yet", "ever", "still"}, w)):
		case i == 0 && has([]string{"hasnt", "havent", "hadnt", "wasnt", "werent", "isnt", "arent", "never"}, w):
			out = append(out, "not")
		case w == "noone":
			out = append(out, "nobody")
		default:
			out = append(out, w)
		}
	}
	return strings.Join(out, " ")
}

// Places are where sensors are, by the words that their labels and questions use.
var places = []struct {
	code, name string
	words      []string
}{
	{"dispenser", "dispenser pan", []string{"dispenser pan", "dispenser pans", "dispenser sump", "dispenser sumps", "dispenser containment", "dispenser", "dispensers", "disp pan", "disp",
		"under-dispenser containment", "under dispenser containment", "under dispenser", "under-dispenser", "udc", "udcs", "pan", "pans"}},
	{"sump", "sump", []string{"sump", "sumps", "stp sump", "stp", "turbine sump", "turbine sumps", "pump sump", "containment sump", "piping sump", "tank sump", "tank sumps"}},
	{"interstice", "interstice", []string{"interstice", "interstices", "interstitial", "interstitial space", "interstitial spaces", "annular", "annular space", "annular spaces", "annulus"}},
	{"spill", "spill bucket", []string{"spill bucket", "spill buckets", "fill sump", "fill bucket"}},
}

func placeName(code string) string {
	for _, pl := range places {
		if pl.code == code {
			return pl.name
		}
	}
	return ""
}

// PlacesIn lists the codes of the places that a sensor's label names: words in
// lower case, by the form that same makes of each.
func PlacesIn(label []string, same func(string) string) []string {
	text := " " + strings.Join(label, " ") + " "
	var out []string
	for _, pl := range places {
		for _, w := range pl.words {
			var folded []string
			for f := range strings.FieldsSeq(strings.ReplaceAll(w, "-", " ")) {
				folded = append(folded, same(f))
			}
			if strings.Contains(text, " "+strings.Join(folded, " ")+" ") {
				out = append(out, pl.code)
				break
			}
		}
	}
	return out
}

// placed reads "in the dispenser pans".
func (p *parser) placed(i int) int {
	lead := 0
	for lead < 2 && i+lead < len(p.w) && has([]string{"in", "at", "of", "the", "a", "any"}, p.w[i+lead]) {
		lead++
	}
	for n := 3; n >= 1; n-- {
		s := p.from(i+lead, n)
		if s == "" || p.cutInside(i, n+lead) {
			continue
		}
		for _, pl := range places {
			if has(pl.words, s) && p.q.Place == "" {
				p.q.Place = pl.code
				p.placeWords = append(p.placeWords, s)
				return lead + n
			}
		}
	}
	return 0
}
