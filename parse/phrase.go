package parse

import (
	"strings"

	"tankroll/parse/lexicon"
)

// maxPhraseWords bounds the length of a phrase that is looked up.
const maxPhraseWords = 6

// altCost is what it costs to take another reading of a word than the first.
const altCost = 0.4

// cutCost is what it costs to take a word that ends with a full stop for the
// beginning of a longer one.
const cutCost = 0.2

// runKey says where a run of tokens stands; prose tells runs over the ends of
// lines from those within.
type runKey struct {
	at, n int
	prose bool
}

// run is the key of tokens that stand side by side on the slip; not ok for
// others, such as words that were put together for a heading.
func run(toks []token) (runKey, bool) {
	n := len(toks)
	return runKey{toks[0].at, n, toks[0].prose}, toks[0].at >= 0 && toks[n-1].at == toks[0].at+n-1
}

// find looks a run of tokens up in the lexicon, remembering the answer.
func (d *doc) find(toks []token) []lexicon.Hit {
	n := len(toks)
	at := toks[0].at
	if m := d.memory(at); m != nil && n <= maxPhraseWords && toks[n-1].at == at+n-1 {
		if hits, known := d.recall(m.hits[n-1]); known {
			return hits
		}
		hits := d.findAnew(toks)
		m.hits[n-1] = d.keepHits(hits)
		return hits
	}
	return d.findAnew(toks)
}

// lookAlikes are words of no list that look like one misread: no VAULT is a FAULT.
var lookAlikes = map[string]bool{"vault": true, "vaults": true}

func (d *doc) findAnew(toks []token) []lexicon.Hit {
	p := toks[0].norm
	if len(toks) > 1 && d.strayNumber(toks) || len(toks) == 1 && lookAlikes[p] {
		return nil
	}
	if len(toks) > 1 {
		d.phrase = appendPhrase(d.phrase[:0], toks)
		if k, done := d.found[string(d.phrase)]; done {
			return k.hits
		}
		p = string(d.phrase)
		if h, ok := d.lex.Phrase(p); ok {
			d.found[p] = known{hits: h}
			return h
		}
		if d.allKnown(toks) {
			hits := d.exactly(p)
			d.found[p] = known{hits: hits}
			d.lex.KeepPhrase(p, hits)
			return hits
		}
	}
	hits := d.lookup(p)
	if len(hits) > 0 && hits[0].Cost == 0 {
		return hits
	}
	if len(toks) == 1 && toks[0].stop == '.' {
		if code, ok := d.lex.Cut(toks[0].norm); ok {
			return append(hits[:len(hits):len(hits)], lexicon.Hit{Sense: lexicon.Part, Code: code, Spelling: toks[0].norm, Cost: cutCost})
		}
	}
	for i := range toks {
		for _, alt := range toks[i].seen.alts {
			other := append([]token(nil), toks...)
			other[i].norm = strings.ToLower(strings.Trim(alt, ":=.,"))
			for _, h := range d.lookup(phraseOf(other)) {
				h.Cost += altCost
				if !knows(hits, h) {
					hits = append(hits[:len(hits):len(hits)], h)
				}
			}
		}
	}
	return hits
}

// strayNumber reports whether a word of a run is a number that stands in no phrase.
func (d *doc) strayNumber(toks []token) bool {
	for i := range toks {
		if t := &toks[i]; t.number && len(t.seen.alts) == 0 && d.lex.StrayNumber(t.norm) {
			return true
		}
	}
	return false
}

// allKnown reports whether every word is spelt like a known one: such a run is
// no other phrase misread.
func (d *doc) allKnown(toks []token) bool {
	for i := range toks {
		if h := d.find(toks[i : i+1]); len(h) == 0 || h[0].Cost > 0 {
			return false
		}
	}
	return true
}

// exactly is lookup without misread phrases, but for lost or added spaces and, at the
// end of a title, for one thing or several.
func (d *doc) exactly(p string) []lexicon.Hit {
	const onlySpaces = 0.35
	other := p + "s"
	if one, plural := strings.CutSuffix(p, "s"); plural {
		other = one
	}
	var out []lexicon.Hit
	for _, h := range d.lex.Find(p) {
		if h.Cost <= onlySpaces {
			out = append(out, h)
		}
	}
	if len(out) > 0 || strings.Count(p, " ") < 2 {
		return out
	}
	for _, h := range d.lex.Find(other) {
		if h.Cost == 0 && h.Sense == lexicon.Kind {
			out = append(out, h)
		}
	}
	return out
}

func knows(hits []lexicon.Hit, h lexicon.Hit) bool {
	for _, o := range hits {
		if o.Sense == h.Sense && (o.Code == h.Code || o.Cost <= h.Cost) {
			return true
		}
	}
	return false
}

func phraseOf(toks []token) string {
	if len(toks) == 1 {
		return toks[0].norm
	}
	return string(appendPhrase(make([]byte, 0, lengthOf(toks)), toks))
}

// appendPhrase puts the words of a phrase behind b.
func appendPhrase(b []byte, toks []token) []byte {
	for i := range toks {
		if i > 0 {
			b = append(b, ' ')
		}
		b = append(b, toks[i].norm...)
	}
	return b
}

// lookup is the lexicon's Find with a memory for this slip.
func (d *doc) lookup(p string) []lexicon.Hit {
	return d.word(p).hits
}

// word is the lexicon's Word with a memory for this slip.
func (d *doc) word(p string) known {
	k, ok := d.found[p]
	if !ok {
		hits, most := d.lex.Word(p)
		k = known{hits, min(max(1, most), maxPhraseWords)}
		d.found[p] = k
	}
	return k
}

// lookupLower is lookup for a word as printed.
func (d *doc) lookupLower(w string) []lexicon.Hit {
	var room [maxWordRunes]byte
	if k, ok := d.found[string(appendLower(room[:0], w))]; ok {
		return k.hits
	}
	return d.lookup(strings.ToLower(w))
}

// known is what the lexicon says of a word or a phrase, and how many words a phrase that
// begins with the word may have, at least one; 0 for phrases.
type known struct {
	hits []lexicon.Hit
	most int
}

// maxWords is how many words a phrase that begins with this token may have.
func (d *doc) maxWords(t *token) int {
	m := d.memory(t.at)
	if m != nil && m.most > 0 {
		return int(m.most)
	}
	n := max(1, d.word(t.norm).most)
	if m != nil {
		m.most = int8(n)
	}
	return n
}

// code finds the longest phrase of a sense at the beginning of the tokens. It
// returns how many tokens it took, 0 for none.
func (d *doc) code(s lexicon.Sense, toks []token) (code string, cost float64, used int) {
	if len(toks) == 0 {
		return "", 0, 0
	}
	most := min(d.maxWords(&toks[0]), len(toks))
	if m := d.memory(toks[0].at); m != nil && toks[most-1].at == toks[0].at+most-1 {
		if int(m.sensed) < most {
			m.senses, m.sensed = d.sensesOf(toks[:most]), int8(most)
		}
		if m.senses&s.Bit() == 0 {
			return "", 0, 0
		}
	}
	for n := most; n > 0; n-- {
		for _, h := range d.find(toks[:n]) {
			if h.Sense == s {
				return h.Code, h.Cost, n
			}
		}
	}
	return "", 0, 0
}

// sensesOf are the senses of the phrases that begin with the first token, one bit each.
func (d *doc) sensesOf(toks []token) lexicon.Senses {
	var out lexicon.Senses
	for n := range toks {
		for _, h := range d.find(toks[:n+1]) {
			out |= h.Sense.Bit()
		}
	}
	return out
}

// whole finds the code of a sense that all tokens together spell.
func (d *doc) whole(s lexicon.Sense, toks []token) (code string, cost float64, ok bool) {
	if len(toks) == 0 || len(toks) > maxPhraseWords {
		return "", 0, false
	}
	for _, h := range d.find(toks) {
		if h.Sense == s {
			return h.Code, h.Cost, true
		}
	}
	return "", 0, false
}
