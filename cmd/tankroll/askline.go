package main

import (
	"tankroll/index"
	"tankroll/index/query"
)

// answerDoc is an answer as scripts get it.
type answerDoc struct {
	Question   string       `json:"question"`
	Understood query.Query  `json:"understood"`
	Said       string       `json:"said"` // Understood in words, which mean the same when asked
	Total      int          `json:"total"`
	Answers    []answerLine `json:"answers"`
	Why        string       `json:"why,omitempty"`
	Try        []tryLine    `json:"try,omitempty"`
	Notes      []string     `json:"notes,omitempty"`
	NewestSure string       `json:"newest_sure,omitempty"` // id
	Maybe      []string     `json:"maybe,omitempty"`       // ids
	Groups     []groupLine  `json:"groups,omitempty"`
	Figure     *figureLine  `json:"figure,omitempty"`
}

type tryLine struct {
	Ask   string `json:"ask"`
	Total int    `json:"total"`
}

// groupLine is a month, site, tank, line or sensor: one that answers, or one
// that lacks what was asked for.
type groupLine struct {
	Month     string `json:"month,omitempty"`
	Site      string `json:"site,omitempty"`
	Equipment string `json:"equipment,omitempty"`
	Total     int    `json:"total"`
	Last      string `json:"last,omitempty"` // id of the newest outside of the dates asked for
	LastAt    string `json:"last_at,omitempty"`
	Maybe     string `json:"maybe,omitempty"` // id of a doubtful one that may be it
}

type figureLine struct {
	Name  string  `json:"name"`
	Field string  `json:"field"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit,omitempty"`
	Of    int     `json:"of"`
}

func askLine(question string, got index.Answer, answers []answerLine) answerDoc {
	out := answerDoc{Question: question, Understood: got.Query, Said: got.Query.String(), Total: got.Total, Answers: answers, Why: got.Why, Notes: got.Notes}
	for _, s := range got.Try {
		out.Try = append(out.Try, tryLine(s))
	}
	if got.NewestSure != nil {
		out.NewestSure = got.NewestSure.ID
	}
	for _, r := range got.Maybe {
		out.Maybe = append(out.Maybe, r.ID)
	}
	for _, g := range got.Groups {
		l := groupLine{Month: g.Month, Site: g.Site, Equipment: g.Equipment, Total: g.Total}
		if g.Last != nil {
			l.Last, l.LastAt = g.Last.ID, g.Last.At
		}
		if g.Maybe != nil {
			l.Maybe = g.Maybe.ID
		}
		out.Groups = append(out.Groups, l)
	}
	if got.Figure != nil {
		f := figureLine(*got.Figure)
		out.Figure = &f
	}
	return out
}
