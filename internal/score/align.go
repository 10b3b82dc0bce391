package score

// Align is the edit distance of a and b, and for each rune of a the place
// of its like in b, -1 for none.
func Align(a, b []rune) (int, []int) {
	d := make([][]int, len(a)+1)
	for i := range d {
		d[i] = make([]int, len(b)+1)
		for j := range d[i] {
			switch {
			case i == 0:
				d[i][j] = j
			case j == 0:
				d[i][j] = i
			default:
				same := d[i-1][j-1] + 1
				if a[i-1] == b[j-1] {
					same--
				}
				d[i][j] = min(same, d[i-1][j]+1, d[i][j-1]+1)
			}
		}
	}
	beside := make([]int, len(a))
	for i := range beside {
		beside[i] = -1
	}
	for i, j := len(a), len(b); i > 0 && j > 0; {
		switch {
		case a[i-1] == b[j-1] && d[i][j] == d[i-1][j-1]:
			beside[i-1] = j - 1
			i, j = i-1, j-1
		case d[i][j] == d[i-1][j-1]+1:
			i, j = i-1, j-1
		case d[i][j] == d[i-1][j]+1:
			i--
		default:
			j--
		}
	}
	return d[len(a)][len(b)], beside
}
