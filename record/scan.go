package record

import (
	"encoding/json"
	"strconv"
	"unicode/utf8"
)

// Reading records back is most of the work of making an index and of a long
// answer, and encoding/json goes over the bytes of a field four times. What
// MarshalJSON writes is read here in one go; whatever looks different is left to
// encoding/json.

// scanner reads JSON as MarshalJSON writes it, without spaces. Once ok is false
// nothing that it gave counts.
type scanner struct {
	raw []byte
	at  int
	ok  bool
}

func (s *scanner) take(c byte) bool {
	if s.ok && s.at < len(s.raw) && s.raw[s.at] == c {
		s.at++
		return true
	}
	return false
}

func (s *scanner) want(c byte) {
	if !s.take(c) {
		s.ok = false
	}
}

// text reads a string without escapes.
func (s *scanner) text() string {
	s.want('"')
	from := s.at
	for s.ok && s.at < len(s.raw) && s.raw[s.at] != '"' {
		if c := s.raw[s.at]; c == '\\' || c < ' ' {
			s.ok = false
		}
		s.at++
	}
	out := s.raw[min(from, len(s.raw)):min(s.at, len(s.raw))]
	s.want('"')
	if !utf8.Valid(out) {
		s.ok = false
	}
	return string(out)
}

// number reads a number; its letters are those of a JSON number, its form is left
// to strconv, which knows a few more that MarshalJSON never writes.
func (s *scanner) number() float64 {
	from := s.at
	for s.at < len(s.raw) && (s.raw[s.at] >= '0' && s.raw[s.at] <= '9' || s.raw[s.at] == '-' || s.raw[s.at] == '+' || s.raw[s.at] == '.' || s.raw[s.at] == 'e' || s.raw[s.at] == 'E') {
		s.at++
	}
	v, err := strconv.ParseFloat(string(s.raw[from:s.at]), 64)
	if err != nil {
		s.ok = false
	}
	return v
}

func (s *scanner) int() int {
	v := s.number()
	if v != float64(int(v)) {
		s.ok = false
	}
	return int(v)
}

func (s *scanner) word(w string) bool {
	if s.ok && len(s.raw)-s.at >= len(w) && string(s.raw[s.at:s.at+len(w)]) == w {
		s.at += len(w)
		return true
	}
	return false
}

func (s *scanner) bool() bool {
	switch {
	case s.word("true"):
		return true
	case !s.word("false"):
		s.ok = false
	}
	return false
}

func (s *scanner) box() (b Box) {
	s.want('[')
	for i, v := range []*int{&b.X, &b.Y, &b.W, &b.H} {
		if i > 0 {
			s.want(',')
		}
		*v = s.int()
	}
	s.want(']')
	return b
}

// object reads an object and calls each for every key.
func (s *scanner) object(each func(key string)) {
	s.want('{')
	if s.take('}') {
		return
	}
	for s.ok {
		key := s.text()
		s.want(':')
		if s.ok {
			each(key)
		}
		if !s.take(',') {
			s.want('}')
			return
		}
	}
}

// list reads a list and calls each before every member.
func (s *scanner) list(each func()) {
	s.want('[')
	if s.take(']') {
		return
	}
	for s.ok {
		each()
		if !s.take(',') {
			s.want(']')
			return
		}
	}
}

// skip passes over a value, whose form it does not look at closely.
func (s *scanner) skip() {
	depth := 0
	for s.ok && s.at < len(s.raw) {
		switch s.raw[s.at] {
		case '"':
			for s.at++; s.at < len(s.raw) && s.raw[s.at] != '"'; s.at++ {
				if s.raw[s.at] == '\\' {
					s.at++
				}
			}
		case '{', '[':
			depth++
		case '}', ']':
			if depth == 0 {
				return
			}
			depth--
		case ',':
			if depth == 0 {
				return
			}
		}
		s.at++
	}
	s.ok = s.ok && depth == 0 && s.at <= len(s.raw)
}

// WordsOf reads the words alone of the lines of a Slip that was written as JSON,
// of a rule none; ok is false when it is not in the form in which Go writes it.
func WordsOf(raw []byte) (lines [][]string, ok bool) {
	s := scanner{raw: raw, ok: true}
	s.object(func(key string) {
		if key != "lines" {
			s.skip()
			return
		}
		if s.word("null") {
			return
		}
		s.list(func() {
			var line []string
			rule := false
			s.object(func(key string) {
				switch {
				case key == "rule":
					rule = s.bool()
				case key == "words" && !s.word("null"):
					s.list(func() {
						word := ""
						s.object(func(key string) {
							if key == "text" {
								word = s.text()
							} else {
								s.skip()
							}
						})
						line = append(line, word)
					})
				case key != "words":
					s.skip()
				}
			})
			if !rule {
				lines = append(lines, line)
			}
		})
	})
	return lines, s.ok && s.at == len(raw)
}

func (s *scanner) field() (f Field) {
	part := 0
	s.object(func(key string) {
		switch key {
		case "value":
			if s.at < len(s.raw) && s.raw[s.at] == '"' {
				f.Value = s.text()
			} else {
				f.Value = s.number()
			}
		case "unit":
			f.Unit = s.text()
		case "text":
			f.Text = s.text()
		case "box":
			f.Box = s.box()
		case "part":
			part = s.int()
		case "confidence":
			f.Confidence = s.number()
		case "sure":
			f.Sure = s.bool()
		case "origin":
			f.Origin = Origin(s.text())
		default:
			s.ok = false
		}
	})
	f.Box.Part = part
	return f
}

func (s *scanner) doubts() []Doubt {
	if s.word("null") {
		return nil
	}
	out := []Doubt{}
	s.want('[')
	if s.take(']') {
		return out
	}
	for s.ok {
		var d Doubt
		s.object(func(key string) {
			switch key {
			case "field":
				d.Field = s.text()
			case "why":
				d.Why = s.text()
			default:
				s.ok = false
			}
		})
		out = append(out, d)
		if !s.take(',') {
			s.want(']')
			break
		}
	}
	return out
}

func (s *scanner) record() (r Record) {
	part := 0
	s.object(func(key string) {
		switch key {
		case "kind":
			r.Kind = Kind(s.text())
		case "fields":
			r.Fields = Fields{}
			s.object(func(name string) { r.Fields[name] = s.field() })
		case "doubts":
			r.Doubts = s.doubts()
		case "box":
			r.Box = s.box()
		case "part":
			part = s.int()
		default:
			s.ok = false
		}
	})
	r.Box.Part = part
	if s.at != len(s.raw) {
		s.ok = false
	}
	return r
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (r *Record) UnmarshalJSON(raw []byte) error {
	s := scanner{raw: raw, ok: true}
	if v := s.record(); s.ok {
		*r = v
		return nil
	}
	return r.unmarshalAny(raw)
}

func (r *Record) unmarshalAny(raw []byte) error {
	var v struct {
		Kind   Kind    `json:"kind"`
		Fields Fields  `json:"fields"`
		Doubts []Doubt `json:"doubts"`
		Box    Box     `json:"box"`
		Part   int     `json:"part"`
	}
	if err := json.Unmarshal(raw, &v); err != nil {
		return err
	}
	v.Box.Part = v.Part
	*r = Record{v.Kind, v.Fields, v.Doubts, v.Box}
	return nil
}
