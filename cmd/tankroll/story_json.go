package main

import (
	"time"

	"tankroll/archive"
	"tankroll/record"
)

// storyDoc is a story as scripts get it.
type storyDoc struct {
	ID     string     `json:"id"`
	With   []string   `json:"one_with,omitempty"`
	Events []eventDoc `json:"events"`
	Fields []fieldDoc `json:"fields"`
}

type eventDoc struct {
	At      string      `json:"at,omitempty"` // UTC; absent when it was not noted
	What    string      `json:"what"`
	Record  string      `json:"record,omitempty"`
	Capture string      `json:"capture,omitempty"`
	File    string      `json:"file,omitempty"`
	Page    int         `json:"page,omitempty"`
	Reader  int         `json:"reader_version,omitempty"`
	Grammar int         `json:"grammar_version,omitempty"`
	Error   string      `json:"error,omitempty"`
	Changes []changeDoc `json:"changes,omitempty"`
	Field   string      `json:"field,omitempty"`
	Was     any         `json:"was,omitempty"`
	Value   string      `json:"value,omitempty"`
	Other   string      `json:"other,omitempty"`
	By      string      `json:"by,omitempty"`
	Note    string      `json:"note,omitempty"`
	Undone  bool        `json:"undone,omitempty"`
}

type changeDoc struct {
	Field string        `json:"field"`
	From  *record.Field `json:"from"`
	To    *record.Field `json:"to"`
}

type fieldDoc struct {
	Name    string        `json:"name"`
	Now     *record.Field `json:"now"`
	Why     string        `json:"why"`
	Sayings []sayingDoc   `json:"sayings"`
}

type sayingDoc struct {
	eventDoc
	Said *record.Field `json:"said"`
}

func storyLine(id string, s archive.Story) storyDoc {
	out := storyDoc{ID: id, With: s.Row.With, Events: []eventDoc{}, Fields: []fieldDoc{}}
	for _, e := range s.Events {
		doc := eventLine(e)
		doc.Changes = changeDocs(e.Changes)
		out.Events = append(out.Events, doc)
	}
	for _, f := range s.Fields {
		doc := fieldDoc{f.Name, f.Now, f.Why, []sayingDoc{}}
		for _, x := range f.Sayings {
			doc.Sayings = append(doc.Sayings, sayingDoc{eventLine(*x.Event), x.Value})
		}
		out.Fields = append(out.Fields, doc)
	}
	return out
}

func changeDocs(list []archive.Change) []changeDoc {
	var out []changeDoc
	for _, c := range list {
		out = append(out, changeDoc(c))
	}
	return out
}

func eventLine(e archive.Event) eventDoc {
	doc := eventDoc{What: e.What, Record: e.Record, Capture: e.Capture, File: e.File, Field: e.Field, Value: e.Value,
		Other: e.Other, By: e.By, Note: e.Note, Undone: e.Undone}
	if !e.At.IsZero() {
		doc.At = e.At.UTC().Format(time.RFC3339)
	}
	if e.Was != nil {
		doc.Was = e.Was.Value
	}
	if p := e.Reading; p != nil {
		doc.Page, doc.Reader, doc.Grammar, doc.Error = p.Page, p.OCRVersion, p.GrammarVersion, p.Error
	}
	return doc
}
