package web

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"tankroll/archive"
	"tankroll/index"
)

const (
	longestQuestion = 1000
	foundSlips      = 10 // slips shown for words that were found
	foundLines      = 4  // lines shown of each
	answersShown    = 25
)

type askData struct {
	Question   string
	Understood string
	Assumed    []string
	NotUnder   []string
	Answers    []answerView
	More       int    // answers not shown
	Why        string // there is no answer
	Readings   []readingView
	Edit       *fieldsForm // what was understood, as fields
	Try        []index.Step
	Figure     string
	Groups     []groupView
	InAll      string // how many groups there are
	Count      bool
	Total      int
	Notes      []string
	Maybe      []answerView // doubtful records that would come first
	Sure       *answerView  // the first answer without doubt, when the first has one
	Hits       []hitView
}

type answerView struct {
	ID, Heading, Gist, Site, When string
	Asked                         string // the value that the question is about
	Doubtful, Confirmed, ByHand   bool
	Picture                       bool
	Capture                       string
}

// groupView is a month, site, tank, line or sensor of an answer.
type groupView struct {
	Say, LastID, Last, MaybeID string
	Total                      int
	Figure                     string
}

func groupViews(a index.Answer) []groupView {
	if a.Query.Missing == "" && !((a.Query.Count || a.Query.Figure != "") && a.Query.Per != "") {
		return nil
	}
	var out []groupView
	for _, g := range a.Groups {
		v := groupView{Say: g.Say(), Total: g.Total, Figure: figureWords(g.Figure)}
		if g.Last != nil {
			v.LastID, v.Last = g.Last.ID, when(g.Last.At)
		}
		if g.Maybe != nil {
			v.MaybeID = g.Maybe.ID
		}
		out = append(out, v)
	}
	return out
}

func figureWords(f *index.Figure) string {
	if f == nil {
		return ""
	}
	return fmt.Sprintf("%s of %s: %s", f.Name, strings.ReplaceAll(f.Field, "_", " "), f.Say())
}

// readingView is another meaning of the question, with its answer in short.
type readingView struct {
	Say, Ask, Gist, ID, When string
	Picture                  bool
}

func readingViews(list []index.Reading) []readingView {
	var out []readingView
	for _, r := range list {
		v := readingView{Say: r.Say, Ask: r.Ask, Gist: r.Gist()}
		if r.First != nil {
			v.ID, v.When, v.Picture = r.First.ID, when(r.First.At), !r.First.Record.Area().IsZero() && r.First.Capture != ""
		}
		out = append(out, v)
	}
	return out
}

type hitView struct {
	File, Sent, Capture string
	Page                int
	Lines               []hitLine
	Rows                []answerView
}

type hitLine struct {
	Text string
	Cut  *cutView // nil when it lies on no picture
}

// ask answers a question in plain words; when no record answers it, the words
// of the slips are searched.
func (s *site) ask(w http.ResponseWriter, r *http.Request) error {
	if edited, ok := editedQuestion(r.URL.Query()); ok {
		http.Redirect(w, r, "/ask?q="+url.QueryEscape(edited), http.StatusSeeOther)
		return nil
	}
	d := askData{Question: tidy(r.URL.Query().Get("q"), longestQuestion)}
	title := "Ask"
	if d.Question != "" {
		title = d.Question
		if err := s.answer(r, &d); err != nil {
			return err
		}
	}
	return s.show(w, http.StatusOK, "ask", frame{Title: title, Here: "ask", Data: d})
}

func (s *site) answer(r *http.Request, d *askData) error {
	a, err := s.desk.Ask(r.Context(), d.Question)
	if err != nil {
		return err
	}
	if a.Query.Anything() && len(a.Query.NotUnderstood) > 0 {
		a = index.Answer{} // every record is no answer to words that mean nothing here
	} else {
		d.Understood, d.Assumed, d.NotUnder = a.Query.String(), a.Query.Assumed, a.Query.NotUnderstood
		form, err := newFieldsForm(a.Query)
		if err != nil {
			return err
		}
		d.Edit = &form
	}
	d.Why, d.Notes, d.Try, d.Readings = a.Why, a.Notes, a.Try, readingViews(a.Readings)
	d.InAll = a.InAll()
	d.Groups, d.Figure, d.Count, d.Total = groupViews(a), figureWords(a.Figure), a.Query.Count, a.Total
	d.Answers, d.Maybe = answerViews(a.Rows, a.Query.Measure), answerViews(a.Maybe, a.Query.Measure)
	if a.NewestSure != nil {
		v := newAnswerView(*a.NewestSure)
		v.Asked = asked(a.NewestSure.Record, a.Query.Measure)
		d.Sure = &v
	}
	d.More = max(a.Total, len(a.Rows)) - len(d.Answers)
	if len(d.Answers) > 0 || len(d.Groups) > 0 || a.Query.Missing != "" {
		return nil
	}
	found, err := s.desk.Find(r.Context(), index.Search{Text: d.Question, Limit: foundSlips})
	if err != nil && !errors.Is(err, index.ErrSearch) {
		return err
	}
	for _, h := range found.Hits {
		v, err := s.hitView(r, h)
		if err != nil {
			return err
		}
		d.Hits = append(d.Hits, v)
	}
	return nil
}

// answerViews shows records; measure names the value that was asked about, or "".
func answerViews(rows []archive.Row, measure string) []answerView {
	var out []answerView
	for _, row := range rows[:min(len(rows), answersShown)] {
		v := newAnswerView(row)
		v.Asked = asked(row.Record, measure)
		out = append(out, v)
	}
	return out
}

func newAnswerView(row archive.Row) answerView {
	return answerView{
		ID: row.ID, Heading: heading(row.Record), Gist: gist(row.Record),
		Site: siteWords(row.Site, row.SiteName), When: when(row.At),
		Doubtful: !row.Sure(), Confirmed: row.Confirmed, ByHand: row.ByHand,
		Picture: !row.Record.Area().IsZero() && row.Capture != "", Capture: row.Capture,
	}
}

// hitView shows a slip on which words were found, with the picture of each line.
func (s *site) hitView(r *http.Request, h index.Hit) (hitView, error) {
	c, err := s.desk.Capture(r.Context(), h.Capture)
	if err != nil {
		return hitView{}, err
	}
	v := hitView{Capture: h.Capture, Page: h.Page, File: c.File, Sent: moment(c.AddedAt)}
	sl, err := s.desk.Slip(r.Context(), h.Capture, h.Page, h.Slip)
	if err != nil {
		return v, err
	}
	picture := newOverlay(h.Capture, h.Page, h.Slip, sl.Slip)
	for _, l := range h.Lines[:min(len(h.Lines), foundLines)] {
		v.Lines = append(v.Lines, hitLine{Text: l.Text, Cut: newCut(picture, l)})
	}
	for _, row := range h.Rows {
		v.Rows = append(v.Rows, newAnswerView(row))
	}
	return v, nil
}
