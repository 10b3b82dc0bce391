package pdf

import (
	"fmt"
	"image"
	"math"

	"github.com/klippa-app/go-pdfium/enums"
	"github.com/klippa-app/go-pdfium/references"
	"github.com/klippa-app/go-pdfium/requests"
	"github.com/klippa-app/go-pdfium/structs"

	"tankroll/ocr/decode/reason"
)

const (
	// textScale is in pixels a point: type and drawings have no resolution of
	// their own, and 300 dpi is what scanners are set to.
	textScale = 300.0 / 72
	// fills is the share of the page from which a picture is the page.
	fills = 0.8
	// counts is the share of the page from which a picture's resolution counts:
	// a logo may be much finer than the print.
	counts = 0.02
	// coarse is the scale below which a picture under print is a ground and not
	// a scan, and small the pixels across below which it holds no print: a phone
	// makes pages of metres with pictures of thousands of pixels.
	coarse = 150.0 / 72
	small  = 1000
	// maxObjects bounds the parts of a page that are looked at. A scan has some
	// dozens, a page full of type some thousands.
	maxObjects = 5000
	// maxLayers bounds the scales that are told apart.
	maxLayers = 100
	// maxDepth bounds forms within forms.
	maxDepth = 8
)

// layer is the pictures of one scale: scanners cut a page into strips.
type layer struct {
	sx, sy float64 // pixels a point, across and down the page
	share  float64 // of the page
}

// content is what a look at the parts of a page gives.
type content struct {
	layers []layer
	other  bool // something visible that is no picture
	seen   int
	limit  int
	box    [4]float64 // left, bottom, right, top in points
	turned enums.FPDF_PAGE_ROTATION
	placed []placed
}

// resolution chooses how many pixels a page is drawn at: those of the picture
// that fills it, else 300 dpi or the finest picture, whichever is more.
func (d document) resolution(page requests.Page, c *content) (image.Point, error) {
	w, h, err := d.size(page)
	if err != nil {
		return image.Point{}, err
	}
	if c.turned == enums.FPDF_PAGE_ROTATION_90_CW || c.turned == enums.FPDF_PAGE_ROTATION_270_CW {
		for i, l := range c.layers {
			c.layers[i].sx, c.layers[i].sy = l.sy, l.sx
		}
	}
	return c.size(w, h)
}

// content looks at what is on a page, whose pictures may have limit pixels each.
func (d document) content(page requests.Page, limit int) (*content, error) {
	bounds, err := d.FPDF_GetPageBoundingBox(&requests.FPDF_GetPageBoundingBox{Page: page})
	if err != nil {
		return nil, err
	}
	rotation, err := d.FPDFPage_GetRotation(&requests.FPDFPage_GetRotation{Page: page})
	if err != nil {
		return nil, err
	}
	c := &content{limit: limit, turned: rotation.PageRotation,
		box: [4]float64{float64(bounds.Rect.Left), float64(bounds.Rect.Bottom), float64(bounds.Rect.Right), float64(bounds.Rect.Top)}}
	return c, d.look(page, c)
}

// size is a page's size in points, as it is shown.
func (d document) size(page requests.Page) (w, h float64, err error) {
	pw, err := d.FPDF_GetPageWidthF(&requests.FPDF_GetPageWidthF{Page: page})
	if err != nil {
		return 0, 0, err
	}
	ph, err := d.FPDF_GetPageHeightF(&requests.FPDF_GetPageHeightF{Page: page})
	if err != nil {
		return 0, 0, err
	}
	return float64(pw.PageWidth), float64(ph.PageHeight), nil
}

// size is the number of pixels for a page of w x h points.
func (c *content) size(w, h float64) (image.Point, error) {
	if !(w > 0 && h > 0) || math.IsInf(w, 0) || math.IsInf(h, 0) {
		return image.Point{}, fmt.Errorf("%w: the page has no size: save the PDF again, or export its pages as JPEG or PNG", reason.ErrNotPicture)
	}
	at := func(sx, sy float64) image.Point {
		side := func(v float64) int { return int(math.Max(1, math.Round(math.Min(v, 1<<30)))) }
		return image.Pt(side(w*sx), side(h*sy))
	}
	fits := func(p image.Point) bool { return p.X <= c.limit/p.Y }
	scan, best := layer{}, textScale
	for _, l := range c.layers {
		fine := max(l.sx, l.sy)
		if l.share >= fills && fine > max(scan.sx, scan.sy) {
			scan = l
		}
		if l.share >= counts {
			best = max(best, fine)
		}
	}
	own := at(scan.sx, scan.sy)
	ground := c.other && max(scan.sx, scan.sy) < coarse && min(own.X, own.Y) < small
	if scan.share > 0 && !ground {
		return own, reason.CheckSize(own.X, own.Y, c.limit)
	}
	p := at(best, best)
	if !fits(p) {
		return p, fmt.Errorf("%w: a page of %.0f x %.0f mm is %d x %d pixels at %.0f dpi, the limit is %.4g megapixels: save it on smaller paper or raise the limit of megapixels",
			reason.ErrTooLarge, w*25.4/72, h*25.4/72, p.X, p.Y, best*72, float64(c.limit)/1e6)
	}
	return p, nil
}

// look goes through the parts of a page.
func (d document) look(page requests.Page, c *content) error {
	n, err := d.FPDFPage_CountObjects(&requests.FPDFPage_CountObjects{Page: page})
	if err != nil {
		return err
	}
	for i := range n.Count {
		o, err := d.FPDFPage_GetObject(&requests.FPDFPage_GetObject{Page: page, Index: i})
		if err != nil {
			return err
		}
		if err := d.lookAt(o.PageObject, identity, c, 0); err != nil {
			return err
		}
	}
	return nil
}

// lookAt weighs one part of a page; to turns its units into the page's points.
func (d document) lookAt(o references.FPDF_PAGEOBJECT, to matrix, c *content, depth int) error {
	if c.seen++; c.seen > maxObjects {
		c.other = true
		return nil
	}
	kind, err := d.FPDFPageObj_GetType(&requests.FPDFPageObj_GetType{PageObject: o})
	if err != nil {
		return err
	}
	switch kind.Type {
	case enums.FPDF_PAGEOBJ_IMAGE:
		return d.lookAtPicture(o, to, c)
	case enums.FPDF_PAGEOBJ_TEXT:
		// Text recognised from a scan lies on it unseen.
		mode, err := d.FPDFTextObj_GetTextRenderMode(&requests.FPDFTextObj_GetTextRenderMode{PageObject: o})
		c.other = c.other || err != nil || mode.TextRenderMode != enums.FPDF_TEXTRENDERMODE_INVISIBLE && mode.TextRenderMode != enums.FPDF_TEXTRENDERMODE_CLIP
	case enums.FPDF_PAGEOBJ_FORM:
		return d.lookInto(o, to, c, depth)
	default:
		c.other = true
	}
	return nil
}

// lookInto goes through the parts of a form, which is a page on the page.
func (d document) lookInto(o references.FPDF_PAGEOBJECT, to matrix, c *content, depth int) error {
	m, err := d.FPDFPageObj_GetMatrix(&requests.FPDFPageObj_GetMatrix{PageObject: o})
	if err != nil {
		return err
	}
	n, err := d.FPDFFormObj_CountObjects(&requests.FPDFFormObj_CountObjects{PageObject: o})
	if err != nil || depth >= maxDepth {
		c.other = true
		return nil
	}
	for i := range n.Count {
		part, err := d.FPDFFormObj_GetObject(&requests.FPDFFormObj_GetObject{PageObject: o, Index: uint64(i)})
		if err != nil {
			return err
		}
		if err := d.lookAt(part.PageObject, matrixOf(m.Matrix).then(to), c, depth+1); err != nil {
			return err
		}
	}
	return nil
}

func (d document) lookAtPicture(o references.FPDF_PAGEOBJECT, to matrix, c *content) error {
	var w, h int // of a picture that cannot be opened, none
	if size, err := d.FPDFImageObj_GetImagePixelSize(&requests.FPDFImageObj_GetImagePixelSize{ImageObject: o}); err == nil {
		w, h = int(size.Width), int(size.Height)
	}
	opens := w > 0 && h > 0
	if opens {
		if err := reason.CheckSize(w, h, c.limit); err != nil {
			return err
		}
	}
	m, err := d.FPDFPageObj_GetMatrix(&requests.FPDFPageObj_GetMatrix{PageObject: o})
	if err != nil {
		return err
	}
	laid := matrixOf(m.Matrix).then(to)
	share := c.share(laid)
	if share >= counts {
		c.placed = append(c.placed, placed{o, laid, h})
	}
	if opens {
		c.picture(laid, share, w, h)
	}
	return nil
}

// share is the share of the page that a picture which m lays on it takes.
func (c *content) share(m matrix) float64 {
	l, b, r, t := m.bounds()
	area := func(l, b, r, t float64) float64 { return math.Max(0, r-l) * math.Max(0, t-b) }
	shown := area(math.Max(l, c.box[0]), math.Max(b, c.box[1]), math.Min(r, c.box[2]), math.Min(t, c.box[3]))
	return shown / area(c.box[0], c.box[1], c.box[2], c.box[3])
}

// picture weighs a picture of w x h pixels that m lays on a share of the page.
func (c *content) picture(m matrix, share float64, w, h int) {
	sx, sy := m.scale(w, h)
	if !(share > 0) || math.IsInf(sx, 0) || math.IsInf(sy, 0) {
		return
	}
	for i, l := range c.layers {
		if alike(l.sx, sx) && alike(l.sy, sy) {
			c.layers[i].share += share
			return
		}
	}
	if len(c.layers) < maxLayers {
		c.layers = append(c.layers, layer{sx, sy, share})
	}
}

// alike says whether two scales are one: strips are cut at whole points.
func alike(a, b float64) bool { return math.Abs(a-b) < 0.01*math.Max(a, b) }

// matrix is a PDF transformation: x' = a x + c y + e, y' = b x + d y + f.
type matrix struct{ a, b, c, d, e, f float64 }

var identity = matrix{a: 1, d: 1}

func matrixOf(m structs.FPDF_FS_MATRIX) matrix {
	return matrix{float64(m.A), float64(m.B), float64(m.C), float64(m.D), float64(m.E), float64(m.F)}
}

// then is m followed by n.
func (m matrix) then(n matrix) matrix {
	return matrix{
		m.a*n.a + m.b*n.c, m.a*n.b + m.b*n.d,
		m.c*n.a + m.d*n.c, m.c*n.b + m.d*n.d,
		m.e*n.a + m.f*n.c + n.e, m.e*n.b + m.f*n.d + n.f,
	}
}

// bounds is where the unit square comes to lie, which is what pictures are
// drawn in.
func (m matrix) bounds() (l, b, r, t float64) {
	l, r = m.e+math.Min(0, m.a)+math.Min(0, m.c), m.e+math.Max(0, m.a)+math.Max(0, m.c)
	b, t = m.f+math.Min(0, m.b)+math.Min(0, m.d), m.f+math.Max(0, m.b)+math.Max(0, m.d)
	return l, b, r, t
}

// scale is how many pixels of a picture of w x h lie on a point, across and down.
func (m matrix) scale(w, h int) (sx, sy float64) {
	along, down := float64(w)/math.Hypot(m.a, m.b), float64(h)/math.Hypot(m.c, m.d)
	switch {
	case math.Abs(m.b) < 0.01*math.Abs(m.a):
		return along, down
	case math.Abs(m.a) < 0.01*math.Abs(m.b): // a picture on its side
		return down, along
	}
	both := math.Max(along, down) // askew
	return both, both
}
