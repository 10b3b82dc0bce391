package parse

import (
	"slices"

	"tankroll/record"
)

// cutAbove doubts what a slip shows first when print runs off the picture above
// it. The first record may have begun there: its lines would pass for those of
// the next, whose name they stand above.
func cutAbove(s record.Slip, drafts []*draft) {
	if s.Paper.Top != record.EdgeCut || len(drafts) == 0 {
		return
	}
	for i, dr := range drafts {
		inherits := dr.from == drafts[0].from && slices.ContainsFunc(dr.facts, func(f fact) bool { return f.inherited })
		if dr.doubt == "" && (i == 0 || inherits) {
			dr.doubt = "print runs off the picture above it; what stands here may be of two records"
		}
	}
}
