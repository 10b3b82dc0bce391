package web

import (
	"fmt"
	"strings"

	"tankroll/archive"
	"tankroll/record"
)

// past is the story of a record: what happened to it, and where the value of each
// field comes from.
type past struct {
	Deeds     []deed
	Fields    []pastField
	Undecided bool // by people
}

// deed is one thing that happened to a record, in words.
type deed struct {
	When, Who, What, Note string
	Undone                bool
}

// pastField is what was said of one field; Said is empty where all said the same.
type pastField struct {
	Name, Now, Why string
	Doubtful       bool
	Said           []deed
}

func newPast(s archive.Story) past {
	out := past{Undecided: true}
	for _, e := range s.Events {
		out.Deeds = append(out.Deeds, deedOf(e))
		out.Undecided = out.Undecided && e.Entry == 0
	}
	for _, f := range s.Fields {
		view := pastField{Name: fieldWords(f.Name), Now: shownWords(f.Name, f.Now), Why: f.Why, Doubtful: f.Now != nil && !f.Now.Sure}
		for _, x := range f.Sayings {
			d := deed{When: moment(x.Event.At), Who: x.Event.By, What: shownWords(f.Name, x.Value), Undone: x.Event.Undone}
			if x.Event.Reading != nil {
				d.Who = pageWords(x.Event) + byWords(x.Event)
			}
			view.Said = append(view.Said, d)
		}
		if agreed(view.Said) {
			view.Said = nil
		}
		out.Fields = append(out.Fields, view)
	}
	return out
}

// agreed reports whether all said the same.
func agreed(list []deed) bool {
	for _, d := range list {
		if d.What != list[0].What {
			return false
		}
	}
	return true
}

// shownWords is a field as it is shown, doubtful ones marked; nil was not there.
func shownWords(name string, f *record.Field) string {
	switch {
	case f == nil:
		return "nothing"
	case !f.Sure:
		return valueWords(name, *f) + " (doubtful)"
	}
	return valueWords(name, *f)
}

// pageWords names the page that was read.
func pageWords(e *archive.Event) string {
	if e.Reading.Page > 1 {
		return fmt.Sprintf("%s page %d", e.Capture, e.Reading.Page)
	}
	return e.Capture
}

// byWords says by which versions it was read, where that was noted.
func byWords(e *archive.Event) string {
	if e.Reading.OCRVersion == 0 {
		return ""
	}
	return fmt.Sprintf(" by reader %d, grammar %d", e.Reading.OCRVersion, e.Reading.GrammarVersion)
}

func deedOf(e archive.Event) deed {
	out := deed{When: moment(e.At), Who: e.By, Note: e.Note, Undone: e.Undone}
	switch e.What {
	case archive.WasKept:
		out.What = e.File + " was kept as " + e.Capture
	case archive.WasUnseen:
		out.What = pageWords(&e) + " was read" + byWords(&e) + "; it does not show this record"
	case archive.WasRead:
		out.What = pageWords(&e) + " was read" + byWords(&e) + ": " + readWords(e)
	default:
		if out.Who == "" {
			out.Who = "someone"
		}
		out.What = decisionWords(e.Decision)
	}
	return out
}

// readWords says what a reading said anew.
func readWords(e archive.Event) string {
	if len(e.Changes) == 0 {
		return "nothing new"
	}
	if e.First {
		return fmt.Sprintf("%s, %d of them doubtful", count(len(e.Changes), "field"), e.Doubtful())
	}
	return changeWords(e.Changes, " → ")
}

// changeWords lists fields that differ, with what stands between their two values.
func changeWords(list []archive.Change, between string) string {
	var out []string
	for _, c := range list {
		out = append(out, strings.ToLower(fieldWords(c.Field))+" "+shownWords(c.Field, c.From)+between+shownWords(c.Field, c.To))
	}
	return strings.Join(out, ", ")
}

// decisionWords says what a person decided.
func decisionWords(d archive.Decision) string {
	field := strings.ToLower(fieldWords(d.Field))
	switch {
	case d.Action == archive.Confirm && d.Field != "":
		return "confirmed " + field
	case d.Action == archive.Confirm:
		return "confirmed the record"
	case d.Action == archive.Reject:
		return "rejected the record"
	case d.Action == archive.Correct && d.Value == "":
		return "said that the paper does not show " + field
	case d.Action == archive.Correct:
		return "corrected " + field + " to " + when(codeWords(d.Field, d.Value))
	case d.Action == archive.Undo:
		return "took the last decision back"
	case d.Action == archive.FollowUp:
		return "followed up"
	case d.Action == archive.Same:
		return "said that it is one with " + d.Other
	case d.Action == archive.Differ:
		return "said that it is another than " + d.Other
	case d.Action == "enter":
		return "typed the record in by hand"
	}
	return spaced(d.Action)
}
