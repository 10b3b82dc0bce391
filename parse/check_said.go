package parse

import "tankroll/parse/lexicon"

// checkSaid doubts the state of an alarm where the words of a sentence may say another: in
// "On 03/14/25 HIGH WATER was cleared" the first word is no state.
func (d *doc) checkSaid(b *built) {
	state := b.reads["state"]
	if state == nil || len(state.read.toks) == 0 {
		return
	}
	if event := b.reads["event"]; event != nil {
		toks := event.read.toks
		for i := 1; i < len(toks); i++ {
			if !beWords[toks[i-1].norm] {
				continue
			}
			if code, _, used := d.code(lexicon.AlarmState, toks[i:]); used > 0 && code != state.read.value {
				b.doubt("the words of the event say that it was "+code, "state", "event")
			}
		}
	}
	t := state.read.toks[0]
	if len(state.read.toks) > 1 || t.text != "On" {
		return
	}
	for _, l := range d.lines {
		for i := range l.toks[:max(len(l.toks)-1, 0)] {
			if next := l.toks[i+1]; l.toks[i].at == t.at && next.gap < wideGap && d.datedTokens(l.toks[i+1:])[next.at] {
				b.doubt("it stands before a date and may be no more than the word for that day", "state")
			}
		}
	}
}

// beWords are the words before what happened to an alarm.
var beWords = map[string]bool{"was": true, "were": true, "is": true, "been": true, "being": true}
