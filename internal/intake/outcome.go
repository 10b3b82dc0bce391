package intake

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"

	"tankroll/record"
)

// State is what became of an input.
type State string

// The states of an input, the worst that holds.
const (
	StateRead     State = "read"
	StateDoubtful State = "doubtful" // read, with something to look at
	StateAlready  State = "already"  // the same bytes were there before, and read
	StateFailed   State = "failed"   // it, or a page of it, could not be read
)

// Outcome is what became of one input.
type Outcome struct {
	File         string `json:"file"`
	State        State  `json:"state"`
	Capture      string `json:"capture,omitempty"` // "" when it was not kept
	Pages        int    `json:"pages"`
	FailedPages  int    `json:"failed_pages"`
	Records      int    `json:"records"`
	DoubtfulOnes int    `json:"doubtful_records"`
	Reason       string `json:"reason,omitempty"` // why it failed or is doubtful, in short
	Outside      bool   `json:"outside_pattern,omitempty"`
	Earlier      bool   `json:"kept_earlier,omitempty"`
	Already      bool   `json:"-"`

	due int // pages still to come
}

// add counts one page that was given out.
func (o *Outcome) add(p record.Page) {
	o.Pages++
	o.due--
	why := ""
	switch {
	case p.Error != "":
		o.FailedPages++
		why = p.Error
	default:
		why = o.count(p)
	}
	if why != "" && p.Page > 1 {
		why = fmt.Sprintf("page %d: %s", p.Page, why)
	}
	if why != "" && (o.Reason == "" || p.Error != "" && o.FailedPages == 1) {
		o.Reason = why
	}
	switch {
	case o.FailedPages > 0:
		o.State = StateFailed
	case o.Already:
		o.State = StateAlready
	case o.Reason != "":
		o.State = StateDoubtful
	default:
		o.State = StateRead
	}
}

// count counts the records of a page and says what is doubtful about them.
func (o *Outcome) count(p record.Page) string {
	doubtful, lost := 0, 0
	for _, s := range p.Slips {
		for _, r := range s.Records {
			o.Records++
			_, at := r.At(s.Header)
			if !r.Sure() || at == "printed_at" && !s.Header.PrintedAt.Sure {
				doubtful++
			}
		}
		if len(s.Records) == 0 && s.JoinedInto == nil && len(s.Text) > 0 {
			lost++
		}
	}
	o.DoubtfulOnes += doubtful
	switch {
	case doubtful > 0:
		return "doubtful records: " + strconv.Itoa(doubtful)
	case lost > 0:
		return "print was read, but no record was understood"
	}
	return ""
}

// Report is what became of all inputs.
type Report struct {
	Read        int       `json:"read"`
	Doubtful    int       `json:"doubtful"`
	Already     int       `json:"already"`
	Failed      int       `json:"failed"`
	Outside     int       `json:"outside_pattern"` // of them, those whose folders do not fit the pattern
	Interrupted bool      `json:"interrupted"`
	Files       []Outcome `json:"files"`
}

// Add adds an input's outcome.
func (r *Report) Add(o Outcome) {
	switch o.State {
	case StateRead:
		r.Read++
	case StateDoubtful:
		r.Doubtful++
	case StateAlready:
		r.Already++
	case StateFailed:
		r.Failed++
	}
	if o.Outside {
		r.Outside++
	}
	r.Files = append(r.Files, o)
}

// Summary is the counts in one line.
func (r *Report) Summary() string {
	parts := []string{}
	for _, c := range []struct {
		n    int
		what string
	}{{r.Read, "read"}, {r.Doubtful, "read with doubts"}, {r.Already, "already there"}, {r.Failed, "failed"}} {
		if c.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", c.n, c.what))
		}
	}
	files := "files"
	if len(r.Files) == 1 {
		files = "file"
	}
	return fmt.Sprintf("%d %s: %s", len(r.Files), files, strings.Join(parts, ", "))
}

// WriteJSON writes the report as one JSON document.
func (r *Report) WriteJSON(w io.Writer) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	out := *r
	if out.Files == nil {
		out.Files = []Outcome{}
	}
	return enc.Encode(out)
}

// WriteCSV writes a line a file, for spreadsheets.
func (r *Report) WriteCSV(w io.Writer) error {
	c := csv.NewWriter(w)
	rows := [][]string{{"file", "state", "capture", "pages", "failed_pages", "records", "doubtful_records", "reason"}}
	for _, o := range r.Files {
		rows = append(rows, []string{inert(o.File), string(o.State), o.Capture, strconv.Itoa(o.Pages), strconv.Itoa(o.FailedPages),
			strconv.Itoa(o.Records), strconv.Itoa(o.DoubtfulOnes), inert(o.Reason)})
	}
	return c.WriteAll(rows)
}

// inert keeps a spreadsheet from taking a text for a formula: a file may be
// called =cmd.jpg.
func inert(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}
