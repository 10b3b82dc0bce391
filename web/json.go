package web

import (
	"encoding/json"
	"errors"
	"net/http"

	"tankroll/index"
	"tankroll/internal/intake"
)

// askJSON and findJSON answer scripts with the documents that the commands ask
// and find write with --json.

func (s *site) askJSON(w http.ResponseWriter, r *http.Request) error {
	question := tidy(r.URL.Query().Get("q"), longestQuestion)
	if question == "" {
		return plainError{http.StatusBadRequest, "Give a question, as in /ask.json?q=last+tank+test."}
	}
	got, err := s.desk.Ask(r.Context(), question)
	if err != nil {
		return err
	}
	return sendJSON(w, intake.NewAskDoc(question, got))
}

func (s *site) findJSON(w http.ResponseWriter, r *http.Request) error {
	q := r.URL.Query()
	got, err := s.desk.Find(r.Context(), index.Search{Text: tidy(q.Get("q"), longestQuestion), Sort: q.Get("sort"), Oldest: q.Get("oldest") != "",
		Limit: answersShown, Facets: true})
	if errors.Is(err, index.ErrSearch) {
		return plainError{http.StatusBadRequest, wrongSearch(err)}
	}
	if err != nil {
		return err
	}
	return sendJSON(w, intake.NewFindDoc(got))
}

func sendJSON(w http.ResponseWriter, doc any) error {
	raw, err := json.Marshal(doc)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	_, _ = w.Write(append(raw, '\n')) // a visitor who left is no fault
	return nil
}
