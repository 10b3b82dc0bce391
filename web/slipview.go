package web

import (
	"fmt"
	"net/http"
	"slices"
	"strings"

	"tankroll/archive"
	"tankroll/record"
)

// warning is one thing to do about the picture or the paper.
type warning struct {
	Again bool // take the picture again
	Line  string
}

// slipView is one slip with its picture and what was read.
type slipView struct {
	Number   int // from 1
	Title    string
	Pictures []overlay    // one, or one for each part of a joined slip
	Others   []record.Ref // the other pictures of a joined slip
	Into     *record.Ref  // where a slip that was joined into another begins
	Header   []headerView // when there is no record that could carry it
	Warnings []warning
	Form     *formView // nil without records
	Text     []string
}

type headerView struct {
	Name, Value string
	Sure        bool
}

// placeRows puts the records of one page under their slips.
func (s *site) placeRows(r *http.Request, d *captureData, here archive.Reading, rows []archive.Row, t *typed) error {
	bySlip := make([][]archive.Row, len(here.Slips))
	for _, row := range rows {
		if row.Page != here.Page {
			continue
		}
		if !row.Rejected {
			d.Records++
			if !row.Sure() {
				d.Doubtful++
			}
		}
		if row.Slip < 0 || row.Slip >= len(here.Slips) {
			d.Loose = append(d.Loose, newAnswerView(row))
			continue
		}
		bySlip[row.Slip] = append(bySlip[row.Slip], row)
	}
	for i, sl := range here.Slips {
		slip, report := sl.Joined()
		v := slipView{Number: i + 1, Title: "Slip", Warnings: slipWarnings(sl), Text: slip.Text(), Into: sl.Into}
		if err := s.addPictures(r, &v, here, i, sl); err != nil {
			return err
		}
		if len(here.Slips) > 1 {
			v.Title = fmt.Sprintf("Slip %d of %d", i+1, len(here.Slips))
		}
		if len(bySlip[i]) == 0 {
			v.Header = headerOf(report.Header)
		} else {
			v.fill(r, here, i, bySlip[i], t)
		}
		d.Slips = append(d.Slips, v)
	}
	return nil
}

// addPictures gives a slip's view its pictures: of a joined slip those of all
// its parts.
func (s *site) addPictures(r *http.Request, v *slipView, here archive.Reading, slip int, sl archive.SlipReading) error {
	v.Pictures = []overlay{newOverlay(here.Capture, here.Page, slip, sl.Slip)}
	if sl.Whole == nil {
		return nil
	}
	for i, part := range sl.Whole.Slip.Parts {
		if i == 0 {
			continue // it begins here
		}
		other, err := s.desk.Slip(r.Context(), part.Capture, part.Page, part.Slip)
		if err != nil {
			return err
		}
		o := newOverlay(part.Capture, part.Page, part.Slip, other.Slip)
		o.part = i
		v.Pictures = append(v.Pictures, o)
		v.Others = append(v.Others, part.Ref)
	}
	return nil
}

// fill puts a slip's records into its form and on its picture.
func (v *slipView) fill(r *http.Request, here archive.Reading, slip int, rows []archive.Row, t *typed) {
	// In the order of the paper: the archive gives them by time.
	slices.SortStableFunc(rows, func(a, b archive.Row) int { return a.Index - b.Index })
	if t != nil && t.slip != slip {
		t = nil
	}
	v.Form = newForm(r, fmt.Sprintf("/captures/%s/pages/%d/slips/%d", here.Capture, here.Page, slip), rows, t)
	v.Form.Alone = false
	for i := range v.Pictures {
		v.Pictures[i].add(v.Form.Header)
		for _, rec := range v.Form.Records {
			v.Pictures[i].add(rec.Fields)
		}
	}
}

// pageWarnings says what to do when a page gave nothing.
func pageWarnings(p archive.Reading) []warning {
	switch {
	case p.Error != "":
		return []warning{{true, "Take it again before the paper is thrown away: " + p.Error + "."}}
	case len(p.Slips) == 0:
		return []warning{{true, "Take it again before the paper is thrown away: no printout was found in this picture. Lay the slip flat on a darker ground, fill the picture with it and keep it in even light."}}
	}
	return nil
}

// faint is the ink below which a slip should be photographed again in better
// light while it can still be seen: about where fields begin to be lost.
const faint = 0.15

func slipWarnings(sl archive.SlipReading) []warning {
	var out []warning
	slip, report := sl.Joined()
	p := slip.Paper
	if sl.Into != nil {
		return nil // all is said where the slip begins
	}
	for _, o := range sl.MayGoOn {
		out = append(out, warning{true, "It may be one slip with " + o.File + " (" + o.Capture + "). Take both again so that each shows more of the other's lines, and send them together."})
	}
	if p.Blurred {
		out = append(out, warning{true, "Take it again before the paper is thrown away: the picture is blurred. Hold the phone still and tap on the print to focus."})
	}
	if p.CutOff {
		out = append(out, warning{true, "Take it again before the paper is thrown away: printed lines run off the picture. Get the whole slip into it, or take it in several pictures that each show the last few lines of the one before, and send them together."})
	}
	switch {
	case len(slip.Text()) == 0:
		out = append(out, warning{true, "Take it again before the paper is thrown away: no print was found on this slip."})
	case len(report.Records) == 0:
		out = append(out, warning{true, "No record was found in the print. If the paper shows one, take it again closer; the picture and its words are kept and can be found."})
	case p.Ink > 0 && p.Ink < faint:
		out = append(out, warning{false, "The print is very faint. Compare every field with the paper while it can still be seen."})
	}
	for _, m := range slip.Marks {
		say := m.Say()
		out = append(out, warning{false, strings.ToUpper(say[:1]) + say[1:] + ". It is not read; compare what is printed below it with the paper."})
	}
	if p.EndOfRoll {
		out = append(out, warning{false, "The coloured stripe shows: change the roll soon."})
	}
	return out
}

func headerOf(h record.Header) []headerView {
	var out []headerView
	for _, f := range []struct {
		name string
		f    *record.Field
	}{{"site", h.Site}, {"site_number", h.SiteNumber}, {"address", h.Address}, {"printed_at", h.PrintedAt}} {
		if f.f != nil {
			out = append(out, headerView{fieldWords(f.name), valueWords(f.name, *f.f), f.f.Sure})
		}
	}
	return out
}
