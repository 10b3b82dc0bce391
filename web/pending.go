package web

import (
	"tankroll/archive"
	"tankroll/index/query"
	"tankroll/record"
)

type Answer struct {
	Query query.Query
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
