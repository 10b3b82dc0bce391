package record

import (
	"encoding/json"
	"fmt"
)

// MarkKind says how a mark was made.
type MarkKind string

// The kinds of marks.
const (
	Handwriting MarkKind = "handwriting"
	Stamp       MarkKind = "stamp"
)

// Mark is something on a slip that was not printed: written by hand or stamped. Its
// words, if it has any, are not among those of the slip's lines.
type Mark struct {
	Kind MarkKind `json:"kind"`
	Box  Box      `json:"box"`  // on the original
	Sure float64  `json:"sure"` // how much speaks for it, 0 nothing to 1 all; not a share of how often it is right

	// Over are the lines of Slip.Text that its ink lies on, from 0; none where it lies
	// beside the print, and on a slip that was joined.
	Over []int `json:"over,omitempty"`
}

// Say says in plain words what the mark is and which lines it lies over, counted
// from 1 as people do.
func (m Mark) Say() string {
	how := "written by hand on the slip"
	if m.Kind == Stamp {
		how = "stamped on the slip"
	}
	switch n := len(m.Over); {
	case n == 0:
		return how
	case n == 1:
		return fmt.Sprintf("%s, over line %d", how, m.Over[0]+1)
	default:
		return fmt.Sprintf("%s, over lines %d-%d", how, m.Over[0]+1, m.Over[n-1]+1)
	}
}

// MarshalJSON writes hundredths, and the part of the mark's box when that is not the
// first.
func (m Mark) MarshalJSON() ([]byte, error) {
	type plain Mark
	m.Sure = float64(int(m.Sure*100+0.5)) / 100
	return json.Marshal(struct {
		plain
		Part int `json:"part,omitempty"`
	}{plain(m), m.Box.Part})
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (m *Mark) UnmarshalJSON(raw []byte) error {
	type plain Mark
	v := struct {
		*plain
		Part int `json:"part"`
	}{plain: (*plain)(m)}
	if err := json.Unmarshal(raw, &v); err != nil {
		return err
	}
	m.Box.Part = v.Part
	return nil
}
