package parse

import "tankroll/parse/lexicon"

// behindStroke takes the words between the last stroke that stands alone on the line and its end, or
// the time there, for the state when they are one to the letter: TANK 4 HIGH WATER - ON.
func (l *listLine) behindStroke(sense lexicon.Sense, field string) bool {
	end := len(l.toks)
	for end > 0 && l.taken[end-1] {
		end--
	}
	at := end - 1
	for at >= 0 && !l.toks[at].blank && !l.taken[at] {
		at--
	}
	if at < 1 || at+1 >= end || !l.toks[at].blank || starts(l.toks, at) {
		return false
	}
	return l.exact(sense, at+1, end) && l.takeState(sense, field, at+1, end, 0.3)
}
