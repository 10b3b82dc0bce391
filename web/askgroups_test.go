package web

import (
	"testing"

	"tankroll/index"
	"tankroll/index/query"
)

// TestGroupFigures shows the sum of each group, and no list where records are.
func TestGroupFigures(t *testing.T) {
	a := index.Answer{Query: query.Query{Per: "site", Figure: query.Total}, Groups: []index.Group{
		{Site: "101", Total: 3, Figure: &index.Figure{Name: query.Total, Field: "delivered", Value: 22968.5, Unit: "gal", Of: 3}}}}
	got := groupViews(a)
	if want := (groupView{Say: "site 101", Total: 3, Figure: "total of delivered: 22968.5 gal"}); len(got) != 1 || got[0] != want {
		t.Errorf("%+v, want %+v", got, want)
	}
	a.Query.Figure = ""
	if got := groupViews(a); got != nil {
		t.Errorf("%+v where the records are shown", got)
	}
}
