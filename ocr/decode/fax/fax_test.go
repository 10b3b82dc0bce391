package fax

import (
	"bytes"
	"errors"
	"io"
	"math/rand/v2"
	"strings"
	"testing"
)

// bitsOf turns a text of zeros and ones, spaces allowed, into bytes.
func bitsOf(text string) []byte {
	text = strings.ReplaceAll(text, " ", "")
	out := make([]byte, (len(text)+7)/8)
	for i, c := range text {
		if c == '1' {
			out[i/8] |= 0x80 >> (i % 8)
		}
	}
	return out
}

const eol = "000000000001 "

// runs codes runs, white first, as T.4 has them.
func runs(lengths ...int) string {
	white, black := strings.Fields(whiteCodes), strings.Fields(blackCodes)
	var out string
	for i, n := range lengths {
		codes := white
		if i%2 == 1 {
			codes = black
		}
		for ; n >= 2560; n -= 2560 {
			out += codes[63+40]
		}
		if n >= 64 {
			out += codes[63+n/64]
		}
		out += codes[n%64] + " "
	}
	return out
}

func TestOneDimensional(t *testing.T) {
	// A row of 16: 4 white, 5 black, 7 white, then one all white, then all black.
	rows := []string{runs(4, 5, 7), runs(16), runs(0, 16)}
	want := []byte{0x0f, 0x80, 0, 0, 0xff, 0xff}
	for name, c := range map[string]struct {
		kind Kind
		text string
	}{
		"rows alone":        {OneDimensional, strings.Join(rows, "")},
		"ends of line":      {OneDimensional, eol + strings.Join(rows, eol) + strings.Repeat(eol, 6)},
		"filled":            {OneDimensional, "0000" + eol + strings.Join(rows, "000000"+eol)},
		"marked":            {TwoDimensional, eol + "1" + strings.Join(rows, eol+"1")},
		"differences":       {TwoDimensional, eol + "1" + rows[0] + eol + "0" + "0001" + "1" + eol + "1" + rows[2]},
		"runs, one by one":  {RLE, pad(rows[0]) + pad(rows[1]) + pad(rows[2])},
		"a horizontal mode": {TwoDimensional, eol + "0" + "001" + runs(4, 5) + "1" + eol + "1" + rows[1] + eol + "1" + rows[2]},
	} {
		got := make([]byte, len(want))
		if _, err := io.ReadFull(NewReader(bitsOf(c.text), 16, 3, c.kind), got); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s: %x, %v, want %x", name, got, err, want)
		}
	}
}

// pad fills a row up to a full byte.
func pad(row string) string {
	row = strings.ReplaceAll(row, " ", "")
	return row + strings.Repeat("0", (8-len(row)%8)%8)
}

// TestDamagedRow: a row that the line has spoiled shows the one before; more than
// a few of them are an error, as is an end that comes too early.
func TestDamagedRow(t *testing.T) {
	good, bad := eol+runs(3, 2, 3), eol+"0000000000 1"
	text := good + bad + good + good
	got := make([]byte, 4)
	if _, err := io.ReadFull(NewReader(bitsOf(text), 8, 4, OneDimensional), got); err != nil || !bytes.Equal(got, []byte{0x18, 0x18, 0x18, 0x18}) {
		t.Errorf("one damaged row: %x, %v", got, err)
	}
	if _, err := io.ReadFull(NewReader(bitsOf(good+strings.Repeat(bad, 9)+good), 8, 11, OneDimensional), make([]byte, 11)); !errors.Is(err, ErrDamaged) {
		t.Errorf("nine damaged rows: %v", err)
	}
	if _, err := io.ReadFull(NewReader(bitsOf(good+good), 8, 9, OneDimensional), make([]byte, 9)); !errors.Is(err, io.ErrUnexpectedEOF) {
		t.Errorf("an early end: %v", err)
	}
}

// TestLongRuns: runs of any length come out as they went in.
func TestLongRuns(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		var lengths []int
		width := 0
		for range 1 + r.IntN(12) {
			n := 1 + r.IntN(3000)
			lengths, width = append(lengths, n), width+n
		}
		row := make([]byte, (width+7)/8)
		if _, err := io.ReadFull(NewReader(bitsOf(eol+runs(lengths...)), width, 1, OneDimensional), row); err != nil {
			t.Fatal(err)
		}
		x := 0
		for i, n := range lengths {
			for range n {
				if black := row[x/8]>>(7-x%8)&1 == 1; black != (i%2 == 1) {
					t.Fatalf("runs %v: pixel %d", lengths, x)
				}
				x++
			}
		}
	}
}

// FuzzReader: any bytes give rows or an error, in work bounded by their number.
func FuzzReader(f *testing.F) {
	f.Add(bitsOf(eol+runs(4, 5, 7)+eol+runs(16)), 16, 3, 0)
	f.Add(bitsOf(eol+"1"+runs(4, 5, 7)+eol+"0 0001 1"), 16, 3, 1)
	f.Add(bitsOf(pad(runs(4, 5, 7))+pad(runs(16))), 16, 3, 2)
	f.Fuzz(func(t *testing.T, raw []byte, width, rows, kind int) {
		if width < 1 || width > 5000 || rows < 0 || rows > 500 || kind < 0 || kind > 2 {
			return
		}
		got, err := io.ReadAll(NewReader(raw, width, rows, Kind(kind)))
		if err == nil && len(got) != rows*((width+7)/8) {
			t.Errorf("%d bytes of %d rows of %d", len(got), rows, width)
		}
		if err != nil && !errors.Is(err, ErrDamaged) && !errors.Is(err, io.ErrUnexpectedEOF) {
			t.Errorf("error %v", err)
		}
	})
}
