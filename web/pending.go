package web

import (
	"tankroll/archive"
	"tankroll/record"
)

type Query struct {
	Kind          record.Kind
	NotUnderstood []string
	Said          string
}

func (q Query) String() string { return q.Said }

type Answer struct {
	Query Query
	Total int
	Rows  []archive.Row
	Why   string
}

type HitLine struct {
	Text string
	Box  record.Box
}

type Hit struct {
	Capture    string
	Page, Slip int
	Lines      []HitLine
	Rows       []archive.Row
}

type Evidence struct{ ID, At string }
type Gap struct {
	From, To string
	Days     int
}
type Requirement struct {
	Site, Equipment, Requirement, Verdict string
	Evidence                              []Evidence
	Gaps                                  []Gap
	NextDue, Source                       string
	Notes                                 []string
}
