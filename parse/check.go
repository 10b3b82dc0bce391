package parse

// check lets the numbers and dates of the slip confirm or contradict each
// other.
func (d *doc) check(all []*built, printed string) {
}
