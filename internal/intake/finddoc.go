package intake

import (
	"tankroll/index"
	"tankroll/record"
)

// FindDoc is what a search found as scripts get it.
type FindDoc struct {
	Understood string                    `json:"understood"`
	Total      int                       `json:"total"`
	Hits       []HitDoc                  `json:"hits,omitempty"`
	Facets     map[string]map[string]int `json:"facets,omitempty"` // slips by value
}

// HitDoc is one slip that was found.
type HitDoc struct {
	Capture string      `json:"capture"`
	Page    int         `json:"page"`
	Slip    int         `json:"slip"`
	Lines   []LineDoc   `json:"lines"`
	Records []RecordDoc `json:"records"`
}

// LineDoc is a printed line with the words that were looked for.
type LineDoc struct {
	Text  string     `json:"text"`
	Box   record.Box `json:"box"` // on the original's pixels, as those of the words
	Words []WordDoc  `json:"words"`
}

// WordDoc is a printed word that was looked for.
type WordDoc struct {
	Text string     `json:"text"`
	Box  record.Box `json:"box"`
}

// NewFindDoc makes the document of what a search found.
func NewFindDoc(got index.Found) FindDoc {
	out := FindDoc{Understood: got.Understood, Total: got.Total, Hits: []HitDoc{}}
	for _, h := range got.Hits {
		hit := HitDoc{h.Capture, h.Page, h.Slip, []LineDoc{}, recordDocs(h.Rows)}
		for _, l := range h.Lines {
			line := LineDoc{l.Text, l.Box, []WordDoc{}}
			for _, w := range l.Words {
				line.Words = append(line.Words, WordDoc(w))
			}
			hit.Lines = append(hit.Lines, line)
		}
		out.Hits = append(out.Hits, hit)
	}
	for _, f := range got.Facets {
		if out.Facets == nil {
			out.Facets = map[string]map[string]int{}
		}
		out.Facets[f.Name] = map[string]int{}
		for _, c := range f.Counts {
			out.Facets[f.Name][c.Value] = c.Slips
		}
	}
	return out
}
