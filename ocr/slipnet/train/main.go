// Program train draws the slips that the network of package slipnet learns from.
// It is not part of reading; learn.py beside it does the learning, and "make
// model" runs both.
//
//	go run ./ocr/slipnet/train -fonts DIR,DIR -words FILE -slips 40000 >slips
//
// It writes groups of slips of one size: three numbers of two bytes (slips,
// lines a slip, cells a line), then for every slip the places of its characters
// in the alphabet, one byte each, and its pictures, line by line, one byte a
// pixel, 0 bare to 255 black.
package main

import (
	"bufio"
	"encoding/binary"
	"flag"
	"image"
	"image/color"
	"log"
	"math/rand/v2"
	"os"
	"slices"
	"strings"

	"tankroll/ocr/glyph"
	"tankroll/ocr/glyph/face"
	"tankroll/ocr/slipnet"
)

func main() {
	log.SetFlags(0)
	log.SetPrefix("train: ")
	fonts := flag.String("fonts", "", "folders of fonts, separated by commas")
	words := flag.String("words", "/usr/share/dict/american-english", "list of words")
	slips := flag.Int("slips", 40_000, "slips to draw")
	seed := flag.Uint64("seed", 1, "seed")
	natural := flag.Bool("natural", false, "draw lines of natural width, for package stance")
	show := flag.String("show", "", "write a few slips to this PNG and stop")
	flag.Parse()
	faces, err := face.Load(strings.Split(*fonts, ","))
	if err != nil {
		log.Fatal(err)
	}
	list, err := loadWords(*words)
	if err != nil {
		log.Fatal(err)
	}
	p := newPrinter(faces, list, *seed)
	log.Printf("%d faces of %d families, %d words", len(faces), len(p.families), len(list))
	if *show != "" {
		if err := p.show(*show); err != nil {
			log.Fatal(err)
		}
		return
	}
	out := bufio.NewWriterSize(os.Stdout, 1<<20)
	for range (*slips + group - 1) / group {
		draw := p.group
		if *natural {
			draw = p.natural
		}
		if err := draw(out); err != nil {
			log.Fatal(err)
		}
	}
	if err := out.Flush(); err != nil {
		log.Fatal(err)
	}
}

// group is how many slips of one size are learned from together.
const group = 4

// printer makes up slips.
type printer struct {
	families [][]*face.Face
	w        writer
	d        dice
	c        canvas
}

func newPrinter(faces []*face.Face, words []string, seed uint64) *printer {
	rng := rand.New(rand.NewPCG(seed, 11))
	p := &printer{w: writer{rng, words}, d: dice{rng}}
	by := map[string]int{}
	for _, f := range faces {
		name := strings.TrimPrefix(f.Name, "Lat15-")
		key := 5
		if strings.HasSuffix(name, ".pcf.gz") {
			key = 3 // their names begin with the size
		}
		name = strings.ToLower(name[:min(key, len(name))])
		if _, ok := by[name]; !ok {
			by[name] = len(p.families)
			p.families = append(p.families, nil)
		}
		p.families[by[name]] = append(p.families[by[name]], f)
	}
	// Much print is of dots.
	for range 4 {
		p.families = append(p.families, p.families[by["matri"]])
	}
	return p
}

// face picks a face: every family is as likely as any other.
func (p *printer) face() *face.Face {
	family := p.families[p.d.IntN(len(p.families))]
	return family[p.d.IntN(len(family))]
}

// slip draws a slip and returns its characters.
func (p *printer) slip(lines, cells int, out []float32) []byte {
	s := newStyle(p.face(), p.face(), p.d)
	p.c.s, p.c.d = s, p.d
	var labels []byte
	size := slipnet.H * slipnet.W * cells
	for i := range lines {
		text := p.w.line(cells)
		for k, r := range text {
			if s.faceOf(r).Glyphs[r] == nil {
				text[k] = ' '
			}
			labels = append(labels, byte(slices.Index(glyph.Alphabet, text[k])))
		}
		p.c.line(text, out[i*size:(i+1)*size])
	}
	return labels
}

func (p *printer) group(out *bufio.Writer) error {
	cells := 14 + p.d.IntN(35)
	lines := max(256/cells, 3)
	if err := binary.Write(out, binary.LittleEndian, []uint16{group, uint16(lines), uint16(cells)}); err != nil {
		return err
	}
	pix := make([]float32, lines*cells*slipnet.H*slipnet.W)
	b := make([]byte, len(pix))
	for range group {
		labels := p.slip(lines, cells, pix)
		for i, v := range pix {
			b[i] = byte(v / 1.15 * 255)
		}
		if _, err := out.Write(labels); err != nil {
			return err
		}
		if _, err := out.Write(b); err != nil {
			return err
		}
	}
	return nil
}

// show draws a few slips to look at.
func (p *printer) show(file string) error {
	const slips, lines, cells = 16, 3, 36
	w := cells * slipnet.W
	img := image.NewGray(image.Rect(0, 0, 2*w+8, slips/2*(lines*slipnet.H+6)))
	pix := make([]float32, lines*slipnet.H*w)
	for i := range slips {
		p.slip(lines, cells, pix)
		for k, v := range pix {
			img.SetGray(i%2*(w+8)+k%w, i/2*(lines*slipnet.H+6)+k/w, color.Gray{Y: 255 - byte(v/1.15*255)})
		}
	}
	return face.WriteSheet(file, img)
}
