package ocr

import "testing"

func TestNoPrint(t *testing.T) {
	line := func(text string, prob float64, seen witness) []char {
		var out []char
		for _, r := range text {
			c := char{r: r, prob: prob, evidence: evidence{symbol: seen}}
			if r == ' ' {
				c.prob = 1
			}
			out = append(out, c)
		}
		return out
	}
	text := func(chars []char) (s string) {
		for _, c := range chars {
			s += string(c.r)
		}
		return s
	}
	join := func(parts ...[]char) (out []char) {
		for _, p := range parts {
			out = append(out, p...)
		}
		return out
	}
	blot, print := line(" ~_P' ", 0.4, differs), line("TANK 1", 0.99, silent)
	for name, c := range map[string]struct {
		chars []char
		want  string
	}{
		"at the end":          {join(print, blot), "TANK 1      "},
		"at the beginning":    {join(blot, print), "      TANK 1"},
		"two at the end":      {join(print, blot, blot), "TANK 1            "},
		"between":             {join(print, blot, print), "TANK 1 ~_P' TANK 1"},
		"all of it":           {blot, "      "},
		"seen by both":        {join(print, line(" 3.0", 0.4, agrees)), "TANK 1 3.0"},
		"by one, more surely": {join(print, line(" 3.0", 0.6, silent)), "TANK 1 3.0"},
		"nothing":             {nil, ""},
	} {
		noPrint(c.chars)
		if got := text(c.chars); got != c.want {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
}
