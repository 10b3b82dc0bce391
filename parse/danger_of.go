package parse

import (
	"fmt"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// markApart puts a danger on the name of equipment and its number where the number does
// not stand right behind it.
func (p *placing) markApart() {
	var device, number *fact
	for i := range p.dr.facts {
		switch f := &p.dr.facts[i]; f.field {
		case "device":
			device = f
		case "device_number":
			number = f
		}
	}
	if p.dr.kind != record.Alarm || device == nil || number == nil || device.under || number.under || len(device.read.toks) == 0 || len(number.read.toks) == 0 {
		return
	}
	if end, at := device.read.toks[len(device.read.toks)-1], number.read.toks[0]; p.rows[end.at] != p.rows[at.at] || at.at < end.at || at.at > end.at+2 {
		device.danger = "its number stands apart from it; the two may be of different alarms"
		number.danger = device.danger
	}
}

// markStates puts a danger on what an alarm says and its state where another word for a
// state stands in its lines and was not taken.
func (p *placing) markStates(s *part) {
	if p.dr.kind != record.Alarm || !p.dr.has("state") {
		return
	}
	from, to := s.to, -1
	for _, f := range p.dr.facts {
		if !f.inherited && len(f.read.toks) > 0 {
			from, to = min(from, p.rows[f.read.toks[0].at]), max(to, p.rows[f.read.toks[len(f.read.toks)-1].at])
		}
	}
	for row := from; row <= to; row++ {
		for _, t := range p.d.lines[row].toks {
			if p.placed.has(t.at) || !p.d.spelt(t, lexicon.AlarmState) || p.d.littleWord(t) && !(t.open && t.shut) {
				continue
			}
			for i := range p.dr.facts {
				if f := &p.dr.facts[i]; (f.field == "state" || f.field == "event") && f.danger == "" && !f.inherited {
					f.danger = fmt.Sprintf("%q near it is a word for a state too and was not taken", t.text)
				}
			}
		}
	}
}

// markInherited puts the danger of a name that stands above several records on the
// product that stands there with it.
func (p *placing) markInherited() {
	why := ""
	for _, f := range p.dr.facts {
		if f.inherited && f.field == ownName(p.dr.kind) {
			why = f.danger
		}
	}
	for i := range p.dr.facts {
		if f := &p.dr.facts[i]; why != "" && f.inherited && f.field == "product" && f.danger == "" {
			f.danger = why
		}
	}
}

// markNumbers puts a danger on a name whose label is the word for a number alone, behind
// a word that was not understood: REPORT NO. 31.
func (p *placing) markNumbers() {
	for i := range p.dr.facts {
		f := &p.dr.facts[i]
		if f.field != ownName(p.dr.kind) || len(f.label) == 0 || f.under || f.danger != "" {
			continue
		}
		if bag, _, _ := p.d.bag(f.label); bag != bagOf("number") {
			continue
		}
		toks := p.d.lines[p.rows[f.label[0].at]].toks
		for k, t := range toks {
			if k+1 < len(toks) && toks[k+1].at == f.label[0].at && !starts(toks, k+1) && !p.placed.has(t.at) && strings.ContainsAny(t.text, letters) {
				f.danger = fmt.Sprintf("%q stands before its number; it may be that of something else", t.text)
			}
		}
	}
}
