package parse

import (
	"slices"

	"tankroll/parse/lexicon"
)

// leastExplained is the share of the words of a section that must have a place
// in the reading before its fields can be sure: a layout that is not understood
// leaves more over.
const leastExplained = 0.7

// halfExplained is the share below which nothing of a section can be sure, whatever its
// title says.
const halfExplained = 0.5

// fullyExplained is the share from which what stands above several records
// counts for all of them without a doubt: a line that was not understood may
// have named another thing.
const fullyExplained = 0.97

// explained is the share of a section's words that are part of facts, from the first
// line that holds one to the last: what stands above and below is of the head or the foot.
func (d *doc) explained(r reads, s section) float64 {
	used := map[int]bool{}
	units := 0
	for _, e := range r.entries {
		for _, f := range e.facts {
			for _, t := range f.label {
				used[t.at] = true
			}
			for _, t := range f.read.toks {
				used[t.at] = true
			}
			units += max(0, f.read.used-len(f.read.toks))
		}
	}
	total, within := 0, 0 // words up to the last line that holds a fact
	begun := false
	for i := s.from; i < s.to; i++ {
		l := d.lines[i]
		if l.head || i == s.from && s.title.kind != "" {
			continue
		}
		holds := slices.ContainsFunc(l.toks, func(t token) bool { return used[t.at] })
		if begun = begun || holds; !begun {
			continue
		}
		for _, t := range l.toks {
			if _, isFiller := d.filler(t); !t.blank && !isFiller {
				total++
			}
		}
		if holds {
			within = total
		}
	}
	if within == 0 {
		return 1
	}
	return float64(len(used)+units) / float64(within)
}

// clearPrint is the confidence from which a word is taken for what is printed:
// when such a word has no place, the reading is at fault and not the paper.
const clearPrint = 0.9

// unreadLabel reports whether a word among those before a number was read badly.
func unreadLabel(before []token) bool {
	return slices.ContainsFunc(before, func(t token) bool { return !t.blank && !t.number && t.conf < clearPrint })
}

// counted reports whether token k only counts pages or shifts: PAGE 1 OF 2.
func counted(toks []token, k int) bool {
	if k == 0 {
		return false
	}
	switch toks[k-1].norm {
	case "page", "shift", "pg", "copy":
		return true
	case "of":
		return k >= 3 && toks[k-3].norm == "page"
	}
	return false
}

// inPhrase reports whether token k is part of a phrase of a label, as in
// "passes in 24 h" or "at 60 f".
func (d *doc) inPhrase(toks []token, k int) bool {
	for i := max(0, k-maxPhraseWords+1); i <= k; i++ {
		if _, cost, n := d.code(lexicon.Part, toks[i:]); cost == 0 && n > 1 && i+n > k {
			return true
		}
	}
	return false
}

// note reports whether a line speaks of units and words of labels only, as
// "volumes in gal, ullage to 90 % full".
func (d *doc) note(toks []token) bool {
	words := 0
	for i := 0; i < len(toks); i++ {
		t := toks[i]
		if t.number {
			continue
		}
		if t.delim != 0 {
			return false
		}
		if _, ok := d.filler(t); ok || d.isUnit(t) || d.harmless(t) {
			words++
		}
	}
	return words*2 > len(toks) && words >= 2
}

// oneQuantity reports whether a line ends with a number and its unit and holds no
// other number: whatever it is a quantity of, it names no thing.
func (d *doc) oneQuantity(toks []token) bool {
	n := len(toks)
	if n < 2 || !toks[n-2].number || !d.isUnit(toks[n-1]) {
		return false
	}
	return !slices.ContainsFunc(toks[:n-2], func(t token) bool { return t.number || t.ordinal })
}

// partlyRead doubts, in a part of a slip of which much was not understood, what stands on
// lines that hold words without a place; what fills its lines is what it is.
func (d *doc) partlyRead(drafts []*draft) {
	placed := d.newPlaces()
	for _, dr := range drafts {
		markAll(placed, dr.facts)
		markAll(placed, dr.again)
	}
	rows := d.rowsOfTokens()
	for _, dr := range drafts {
		for i := range dr.facts {
			f := &dr.facts[i]
			for _, t := range f.read.toks {
				if slices.ContainsFunc(d.lines[rows[t.at]].toks, func(o token) bool { return !placed.has(o.at) && !o.blank && !d.silent(o) }) && f.guess == "" {
					f.guess = "much of this part of the slip was not understood; values may belong to other fields"
				}
			}
		}
	}
}
