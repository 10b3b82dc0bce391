package recognise

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"image"
	"io"
	"strconv"
	"strings"
)

// Word is what the recognizer took for one word, in the pixels of the picture
// it was given.
type Word struct {
	Text       string
	Confidence float64 // the recognizer's own, 0 to 1; it is not a probability
	Box        image.Rectangle
	Symbols    []Symbol
}

// Symbol is one character of a word.
type Symbol struct {
	Text       string
	Confidence float64
	Box        image.Rectangle
}

// parseHOCR reads the recognizer's answer: nested spans whose class says what
// they are and whose title holds box and confidence.
func parseHOCR(raw []byte) ([]Word, error) {
	d := xml.NewDecoder(bytes.NewReader(raw))
	d.Strict = false
	d.Entity = xml.HTMLEntity
	var p hocrParser
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return p.words, nil
		}
		if err != nil {
			return nil, fmt.Errorf("read recognizer's answer: %w", err)
		}
		switch t := tok.(type) {
		case xml.StartElement:
			p.open(t)
		case xml.EndElement:
			p.close()
		case xml.CharData:
			p.text(string(t))
		}
	}
}

type hocrParser struct {
	words []Word
	stack []string // class of each open element
}

func (p *hocrParser) open(t xml.StartElement) {
	var class, title string
	for _, a := range t.Attr {
		switch a.Name.Local {
		case "class":
			class = a.Value
		case "title":
			title = a.Value
		}
	}
	p.stack = append(p.stack, class)
	box, conf := parseTitle(title)
	switch class {
	case "ocrx_word":
		p.words = append(p.words, Word{Box: box, Confidence: conf})
	case "ocrx_cinfo":
		if w := p.word(); w != nil {
			w.Symbols = append(w.Symbols, Symbol{Box: box, Confidence: conf})
		}
	}
}

func (p *hocrParser) word() *Word {
	if len(p.words) == 0 {
		return nil
	}
	return &p.words[len(p.words)-1]
}

func (p *hocrParser) symbol() *Symbol {
	w := p.word()
	if w == nil || len(w.Symbols) == 0 {
		return nil
	}
	return &w.Symbols[len(w.Symbols)-1]
}

func (p *hocrParser) close() {
	if len(p.stack) > 0 {
		p.stack = p.stack[:len(p.stack)-1]
	}
}

func (p *hocrParser) text(s string) {
	s = strings.TrimSpace(s)
	if s == "" || len(p.stack) == 0 {
		return
	}
	if sym := p.symbol(); sym != nil && p.stack[len(p.stack)-1] == "ocrx_cinfo" {
		sym.Text += s
		p.word().Text += s
	}
}

// parseTitle reads "bbox 1 2 3 4; x_wconf 91" and its relatives.
func parseTitle(title string) (box image.Rectangle, conf float64) {
	for part := range strings.SplitSeq(title, ";") {
		f := strings.Fields(part)
		switch {
		case len(f) == 5 && (f[0] == "bbox" || f[0] == "x_bboxes"):
			var v [4]int
			for i := range v {
				v[i], _ = strconv.Atoi(f[i+1])
			}
			box = image.Rect(v[0], v[1], v[2], v[3])
		case len(f) == 2 && strings.HasPrefix(f[0], "x_") && strings.Contains(f[0], "conf"):
			conf, _ = strconv.ParseFloat(f[1], 64)
			conf /= 100
		}
	}
	return box, conf
}
