package ocr

import (
	"bytes"
	"fmt"
	"image/jpeg"
	"strings"
	"testing"

	"tankroll/fixtures"
)

// pagesOf writes a PDF with a page for each JPEG, as large as its pixels.
func pagesOf(t *testing.T, jpegs ...[]byte) []byte {
	t.Helper()
	var out bytes.Buffer
	kids := ""
	for i := range jpegs {
		kids += fmt.Sprintf("%d 0 R ", 3+3*i)
	}
	// Without a table of objects: readers look for them then.
	fmt.Fprintf(&out, "%%PDF-1.4\n1 0 obj\n<< /Type /Catalog /Pages 2 0 R >>\nendobj\n2 0 obj\n<< /Type /Pages /Count %d /Kids [%s] >>\nendobj\n", len(jpegs), kids)
	for i, raw := range jpegs {
		cfg, err := jpeg.DecodeConfig(bytes.NewReader(raw))
		if err != nil {
			t.Fatal(err)
		}
		n, w, h := 3+3*i, cfg.Width, cfg.Height
		draw := fmt.Sprintf("%d 0 0 %d 0 0 cm /I Do", w, h)
		fmt.Fprintf(&out, "%d 0 obj\n<< /Type /Page /Parent 2 0 R /MediaBox [0 0 %d %d] /Contents %d 0 R /Resources << /XObject << /I %d 0 R >> >> >>\nendobj\n", n, w, h, n+1, n+2)
		fmt.Fprintf(&out, "%d 0 obj\n<< /Length %d >>\nstream\n%s\nendstream\nendobj\n", n+1, len(draw), draw)
		fmt.Fprintf(&out, "%d 0 obj\n<< /Type /XObject /Subtype /Image /Width %d /Height %d /ColorSpace /DeviceGray /BitsPerComponent 8 /Filter /DCTDecode /Length %d >>\nstream\n%s\nendstream\nendobj\n", n+2, w, h, len(raw), raw)
	}
	out.WriteString("trailer\n<< /Root 1 0 R >>\n%%EOF\n")
	return out.Bytes()
}

// TestPDF: what stands on the pages of a scanned PDF is what stands on the scans.
func TestPDF(t *testing.T) {
	r := testReader(t, Options{})
	var raws [][]byte
	var want []string
	for _, c := range fixtures.Set() {
		if len(raws) < 2 && c.Ext == "jpg" {
			raws = append(raws, c.Raw)
			for p, err := range r.Pages(t.Context(), c.Raw) {
				if err != nil || len(p.Slips) == 0 {
					t.Fatalf("%s: %v", c.Name, err)
				}
				want = append(want, strings.Join(p.Slips[0].Text()[:3], "\n"))
			}
		}
	}
	n := 0
	for p, err := range r.Pages(t.Context(), pagesOf(t, raws...)) {
		if err != nil || p.Err != nil || len(p.Slips) == 0 {
			t.Fatal(err, p.Err)
		}
		if n++; p.Number != n {
			t.Errorf("page %d is called %d", n, p.Number)
		}
		if got := strings.Join(p.Slips[0].Text()[:3], "\n"); got != want[n-1] {
			t.Errorf("page %d reads\n%s\nwant\n%s", n, got, want[n-1])
		}
	}
	if n != 2 || len(raws) != 2 {
		t.Errorf("%d pages, want 2", n)
	}
}
