package record

// Page is one page of one input, as `tankroll read --json` and `add --json`
// write it.
type Page struct {
	File    string     `json:"file"`
	Page    int        `json:"page"` // from 1
	SHA256  string     `json:"sha256,omitempty"`
	Error   string     `json:"error,omitempty"`
	Capture string     `json:"capture,omitempty"` // its id in the archive
	Already bool       `json:"already,omitempty"` // these bytes were kept before
	Slips   []ReadSlip `json:"slips"`
}

// ReadSlip is one slip of a page with what it says. A slip that was joined of
// several pictures stands with its Parts on the page where it begins; on the
// other pages stands what was seen there, without header and records, and
// where it was joined into.
type ReadSlip struct {
	Corners    [4]Point    `json:"corners"`
	Turn       int         `json:"turn"`
	Paper      Paper       `json:"paper"`
	Text       []string    `json:"text"`
	TextBoxes  []Box       `json:"text_boxes,omitempty"` // of each line of Text, on the original it stands on; nil for typed text
	TextParts  []int       `json:"text_parts,omitempty"` // which of Parts each line of Text stands on; nil when there are none
	Letters    [][]float64 `json:"letters,omitempty"`    // how often such a character is right, of each line of Text, spaces left out; nil unless asked for
	Marks      []Mark      `json:"marks,omitempty"`      // what people wrote and stamped on it
	Header     Header      `json:"header"`
	Records    []Record    `json:"records"`
	Parts      []Part      `json:"parts,omitempty"`
	JoinedInto *Ref        `json:"joined_into,omitempty"`
	MayGoOn    []Ref       `json:"may_go_on,omitempty"` // perhaps the same slip, but too little of it is on both pictures to be sure
}

// Join puts a slip and its report together for a Page.
func Join(s Slip, r Report) ReadSlip {
	records := r.Records
	if records == nil {
		records = []Record{}
	}
	return ReadSlip{Corners: s.Corners, Turn: s.Turn, Paper: s.Paper, Text: s.Text(), TextBoxes: s.TextBoxes(), TextParts: textParts(s), Letters: s.Letters(), Marks: s.Marks, Header: r.Header, Records: records, Parts: s.Parts}
}

func textParts(s Slip) []int {
	if len(s.Parts) == 0 {
		return nil
	}
	var out []int
	for _, b := range s.TextBoxes() {
		out = append(out, b.Part)
	}
	return out
}
