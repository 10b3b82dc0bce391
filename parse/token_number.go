package parse

import "unicode"

// numberAt finds where the figures begin that are printed in one word with the word for a
// number, in brackets or of more figures than equipment has: (No.715), Nr.2204.
func numberAt(r []rune) int {
	const fewest = 3 // figures that no tank, line or sensor has
	i := 0
	bracket := r[0] == '(' || r[0] == '['
	if bracket {
		i = 1
	}
	if len(r) < i+4 || unicode.ToLower(r[i]) != 'n' || r[i+2] != '.' || unicode.ToLower(r[i+1]) != 'o' && unicode.ToLower(r[i+1]) != 'r' {
		return 0
	}
	from := i + 3
	j := from
	for j < len(r) && isDigit(r[j]) {
		j++
	}
	digits := j - from
	if bracket {
		bracket = j == len(r)-1 && (r[j] == ')' || r[j] == ']')
		j++
	}
	if j != len(r) || digits == 0 || digits < fewest && !bracket {
		return 0
	}
	return from
}
