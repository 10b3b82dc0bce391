package intake

import (
	"tankroll/archive"
	"tankroll/index"
	"tankroll/index/query"
	"tankroll/record"
)

// RecordDoc is one record as scripts get it: plain values and the place on the
// picture.
type RecordDoc struct {
	ID      string         `json:"id"`
	Kind    record.Kind    `json:"kind"`
	Site    string         `json:"site"`
	At      string         `json:"at,omitempty"`
	Fields  map[string]any `json:"fields"`
	Capture string         `json:"capture,omitempty"`
	File    string         `json:"file,omitempty"`
	Page    int            `json:"page,omitempty"`
	Slip    int            `json:"slip"`
	Box     record.Box     `json:"box"`
	Sure    bool           `json:"sure"`
	ByHand  bool           `json:"by_hand,omitempty"`
	One     string         `json:"one,omitempty"`      // the record that counts, when this is one with it
	With    []string       `json:"one_with,omitempty"` // the same record on other pictures
	Gone    bool           `json:"gone,omitempty"`     // a newer reading does not show it
	Follow  string         `json:"followed_up,omitempty"`
}

// NewRecordDoc makes the document of a record.
func NewRecordDoc(r archive.Row) RecordDoc {
	area := r.Record.Area()
	on := r.On(area)
	l := RecordDoc{r.ID, r.Record.Kind, r.Site, r.At, map[string]any{}, on.Capture, on.File, on.Page, on.Slip, area, r.Sure(), r.ByHand, r.One, r.With, r.Gone, r.Followed}
	for name, f := range r.Record.Fields {
		l.Fields[name] = f.Value
	}
	return l
}

func recordDocs(rows []archive.Row) []RecordDoc {
	out := []RecordDoc{}
	for _, r := range rows {
		out = append(out, NewRecordDoc(r))
	}
	return out
}

// AskDoc is an answer as scripts get it.
type AskDoc struct {
	Question   string        `json:"question"`
	Understood query.Query   `json:"understood"`
	Said       string        `json:"said"` // Understood in words, which mean the same when asked
	Total      int           `json:"total"`
	Answers    []RecordDoc   `json:"answers"`
	Why        string        `json:"why,omitempty"`
	Try        []tryLine     `json:"try,omitempty"`
	Notes      []string      `json:"notes,omitempty"`
	NewestSure string        `json:"newest_sure,omitempty"` // id
	Maybe      []string      `json:"maybe,omitempty"`       // ids
	Groups     []groupLine   `json:"groups,omitempty"`
	Figure     *figureLine   `json:"figure,omitempty"`
	Readings   []readingLine `json:"readings,omitempty"` // what else the question can mean, where that has another answer
}

// readingLine is another meaning of the question, with its answer in short.
type readingLine struct {
	Say    string      `json:"say"`
	Ask    string      `json:"ask"` // the question that means it
	Total  int         `json:"total"`
	First  *RecordDoc  `json:"first,omitempty"`
	Groups []groupLine `json:"groups,omitempty"`
	Figure *figureLine `json:"figure,omitempty"`
}

type tryLine struct {
	Ask   string `json:"ask"`
	Total int    `json:"total"`
}

// groupLine is a month, week, product, site, tank, line or sensor: one that answers, or one
// that lacks what was asked for.
type groupLine struct {
	Month     string `json:"month,omitempty"`
	Week      string `json:"week,omitempty"` // its Monday
	Product   string `json:"product,omitempty"`
	Site      string `json:"site,omitempty"`
	Equipment string `json:"equipment,omitempty"`
	Total     int    `json:"total"`
	Last      string `json:"last,omitempty"` // id of the newest outside of the dates asked for
	LastAt    string `json:"last_at,omitempty"`
	Maybe     string `json:"maybe,omitempty"` // id of a doubtful one that may be it

	Figure *figureLine `json:"figure,omitempty"`
}

type figureLine struct {
	Name  string  `json:"name"`
	Field string  `json:"field"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit,omitempty"`
	Of    int     `json:"of"`
}

// NewAskDoc makes the document of an answer.
func NewAskDoc(question string, got index.Answer) AskDoc {
	out := AskDoc{Question: question, Understood: got.Query, Said: got.Query.String(), Total: got.Total, Answers: recordDocs(got.Rows), Why: got.Why, Notes: got.Notes}
	for _, s := range got.Try {
		out.Try = append(out.Try, tryLine(s))
	}
	if got.NewestSure != nil {
		out.NewestSure = got.NewestSure.ID
	}
	for _, r := range got.Maybe {
		out.Maybe = append(out.Maybe, r.ID)
	}
	out.Groups = groupLines(got.Groups)
	out.Figure = newFigureLine(got.Figure)
	for _, r := range got.Readings {
		l := readingLine{Say: r.Say, Ask: r.Ask, Total: r.Total, Groups: groupLines(r.Groups), Figure: newFigureLine(r.Figure)}
		if r.First != nil {
			first := NewRecordDoc(*r.First)
			l.First = &first
		}
		out.Readings = append(out.Readings, l)
	}
	return out
}

func newFigureLine(f *index.Figure) *figureLine {
	if f == nil {
		return nil
	}
	l := figureLine(*f)
	return &l
}

func groupLines(groups []index.Group) []groupLine {
	var out []groupLine
	for _, g := range groups {
		l := groupLine{Month: g.Month, Week: g.Week, Product: g.Product, Site: g.Site, Equipment: g.Equipment, Total: g.Total}
		if g.Last != nil {
			l.Last, l.LastAt = g.Last.ID, g.Last.At
		}
		if g.Maybe != nil {
			l.Maybe = g.Maybe.ID
		}
		l.Figure = newFigureLine(g.Figure)
		out = append(out, l)
	}
	return out
}
