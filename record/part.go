package record

import "encoding/json"

// Ref names a slip where it was seen: on which page of which input.
type Ref struct {
	File    string `json:"file"`
	Page    int    `json:"page"`              // from 1
	Slip    int    `json:"slip"`              // from 0, on the page
	Capture string `json:"capture,omitempty"` // its id in the archive
}

// Same reports whether both name the same slip of the archive, or of inputs
// that are not kept.
func (r Ref) Same(o Ref) bool {
	return r.Page == o.Page && r.Slip == o.Slip && r.Capture == o.Capture && (r.Capture != "" || r.File == o.File)
}

// Part is what one picture shows of a slip.
type Part struct {
	Ref
	Corners [4]Point `json:"corners"`
	Turn    int      `json:"turn"`
}

// mostPixels is longer than the side of any picture.
const mostPixels = 1 << 20

// Across is a box on the picture in the full width of the slip, so that what is
// printed before and behind it is seen with it.
func (p Part) Across(b Box) Box {
	lo, hi := p.Corners[0], p.Corners[0]
	for _, c := range p.Corners[1:] {
		lo.X, lo.Y = min(lo.X, c.X), min(lo.Y, c.Y)
		hi.X, hi.Y = max(hi.X, c.X), max(hi.Y, c.Y)
	}
	if !(lo.X < hi.X && lo.Y < hi.Y && lo.X > -mostPixels && lo.Y > -mostPixels && hi.X < mostPixels && hi.Y < mostPixels) {
		return b // no corners are known
	}
	wide := Box{X: int(lo.X), Y: b.Y, W: int(hi.X - lo.X), H: b.H, Part: b.Part}
	if p.Turn == 90 || p.Turn == 270 {
		wide = Box{X: b.X, Y: int(lo.Y), W: b.W, H: int(hi.Y - lo.Y), Part: b.Part}
	}
	return b.Union(wide)
}

// On gives the picture on which a box of the slip lies. Of a slip that was seen
// on one picture alone it knows the corners and the turn, not the input.
func (s Slip) On(b Box) Part {
	if b.Part >= 0 && b.Part < len(s.Parts) {
		return s.Parts[b.Part]
	}
	return Part{Corners: s.Corners, Turn: s.Turn}
}

// A box is written without its part, which stands beside it, so that scripts
// and readings from before slips were joined read as they did.

// MarshalJSON writes the field, with the part of its box when that is not the
// first.
func (f Field) MarshalJSON() ([]byte, error) {
	type plain Field
	return json.Marshal(struct {
		plain
		Part int `json:"part,omitempty"`
	}{plain(f), f.Box.Part})
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (f *Field) UnmarshalJSON(raw []byte) error {
	type plain Field
	v := struct {
		*plain
		Part int `json:"part"`
	}{plain: (*plain)(f)}
	if err := json.Unmarshal(raw, &v); err != nil {
		return err
	}
	f.Box.Part = v.Part
	return nil
}

// MarshalJSON writes the line, with the part that it and its words lie on when
// that is not the first.
func (l Line) MarshalJSON() ([]byte, error) {
	type plain Line
	return json.Marshal(struct {
		plain
		Part int `json:"part,omitempty"`
	}{plain(l), l.Box.Part})
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (l *Line) UnmarshalJSON(raw []byte) error {
	type plain Line
	v := struct {
		*plain
		Part int `json:"part"`
	}{plain: (*plain)(l)}
	if err := json.Unmarshal(raw, &v); err != nil {
		return err
	}
	l.SetPart(v.Part)
	return nil
}

// SetPart says on which part of its slip the line lies, words included.
func (l *Line) SetPart(part int) {
	l.Box.Part = part
	for i := range l.Words {
		l.Words[i].Box.Part = part
	}
}
