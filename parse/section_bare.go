package parse

import (
	"slices"
	"strings"

	"tankroll/record"
)

// tooLittle is the doubt about a record that may be none.
const tooLittle = "it says too little to be told from other words of the slip"

// bareRecords doubts entries of lists that say too little to be told from any
// other line of words: an alarm without a time and a device, a sensor without a
// state.
func (d *doc) bareRecords(drafts []*draft) {
	for _, dr := range drafts {
		bare := false
		switch dr.kind {
		case record.Alarm:
			dr.doubtWords()
			bare = bareAlarm(dr) || dr.wordless("event") || !dr.has("event") && !dr.has("device") || dr.eventIsProduct(d) || !dr.has("at") && !dr.has(fieldMoment)
		case record.SensorStatus:
			bare = !dr.has("state")
		case record.TankTest, record.LineTest:
			bare = !dr.has("leak_rate") && !dr.has("ended_at") && !dr.has("started_at") && !dr.has("test_rate") && !dr.has("test_class") && !dr.has(fieldType) && !dr.has(fieldMoment) || !dr.row && dr.loneWord() && !dr.hasOwn(ownName(dr.kind))
		}
		if bare = bare || dr.onlyNamed(); bare && dr.doubt == "" {
			dr.doubt = tooLittle
		}
	}
}

// onlyNamed reports whether a draft says of what it is and nothing more.
func (dr *draft) onlyNamed() bool {
	own := ownName(dr.kind)
	return own != "device" && dr.has(own) && !slices.ContainsFunc(dr.facts, func(f fact) bool {
		return f.field != "" && f.field != own && f.field != "product" && !f.inherited
	})
}

// eventIsProduct reports whether what an alarm says is no more than the name of a
// product: a line of another kind of record.
func (dr *draft) eventIsProduct(d *doc) bool {
	return slices.ContainsFunc(dr.facts, func(f fact) bool {
		return f.field == "event" && len(f.read.toks) > 0 && d.endsInGrade(f.read.toks) && !d.equipmentWord(f.read.toks)
	})
}

// wholeBefore takes it back that a record was parted from the next by a field that came
// twice, where what follows it are words below the last that say nothing.
func wholeBefore(drafts []*draft) {
	i := len(drafts)
	for i > 0 && (drafts[i-1].says() == 0 || i > 1 && drafts[i-1].loneWord() && drafts[i-2].says() > 3) {
		i--
	}
	if i == len(drafts) || i == 0 || i > 1 && drafts[i-2].split {
		return
	}
	drafts[i-1].split = false
}

// says counts what a draft itself says that other words of a slip would not seem to.
func (dr *draft) says() int {
	n := 0
	for _, f := range dr.facts {
		if !f.inherited && f.field != "" && f.field != "event" && f.field != "location" {
			n++
		}
	}
	return n
}

// loneWord reports whether a draft says no more of its own than one thing without a
// label, as words below the last record may seem to: SEE MANUAL IF A LINE FAILS.
func (dr *draft) loneWord() bool {
	return dr.says() == 1 && !slices.ContainsFunc(dr.facts, func(f fact) bool { return !f.inherited && f.field != "" && f.printed })
}

// wordless reports whether free text of a draft has no word of two letters.
func (dr *draft) wordless(field string) bool {
	return slices.ContainsFunc(dr.facts, func(f fact) bool {
		return f.field == field && !slices.ContainsFunc(f.read.toks, func(t token) bool { return len(t.norm) > 1 && strings.Trim(t.norm, "0123456789.,:-/@#") != "" })
	})
}

// doubtWords doubts what an alarm says where no equipment was found, which may be among its
// words, and a date that no time of day was found with.
func (dr *draft) doubtWords() {
	named := dr.has("device") || dr.has("device_number") || dr.has("tank") || dr.has("line") || dr.has("sensor")
	for i := range dr.facts {
		f := &dr.facts[i]
		switch {
		case f.guess != "":
		case f.field == "event" && !named:
			f.guess = "no equipment was found; it may be named by these words"
		case f.field == "at" && f.read.hasTime() && !f.read.hasClock():
			f.guess = "no time of day was found with it"
		}
	}
}
