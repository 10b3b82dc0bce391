package web

import (
	"net/url"
	"testing"

	"tankroll/index/query"
)

// TestEditedQuestion: what the fields do not show is kept, and what is no form of
// ours is no question.
func TestEditedQuestion(t *testing.T) {
	form, err := newFieldsForm(query.Query{Kind: "tank_test", Result: "fail,aborted", Site: "114", SiteName: "OAK STREET", Marks: []string{"doubtful"}, Order: query.Latest, Limit: 1})
	if err != nil {
		t.Fatal(err)
	}
	v := url.Values{"all": {form.All}}
	for _, f := range form.Fields {
		v.Set(f.Name, f.Value)
		if f.Name == "result" && !f.Kept() {
			t.Error("two results are offered as none")
		}
	}
	if got, ok := editedQuestion(v); !ok || got != `latest failing or aborted tank test, site 114 "OAK STREET", marked doubtful` {
		t.Errorf("unchanged: %q", got)
	}
	v.Set("result", "pass")
	v.Set("site", "77")
	v.Set("from", "2025-03-01")
	if got, ok := editedQuestion(v); !ok || got != "latest passing tank test, site 77, since 2025-03-01, marked doubtful" {
		t.Errorf("changed: %q", got)
	}
	for _, all := range []string{"", "x", "[]", `{"limit":"many"}`} {
		if got, ok := editedQuestion(url.Values{"all": {all}}); ok {
			t.Errorf("%q gave %q", all, got)
		}
	}
}
