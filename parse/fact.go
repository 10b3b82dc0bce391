package parse

// fact is one field found on the paper.
type fact struct {
	field     string // a record field, "header.x", or one of the helpers below
	read      reading
	label     []token
	above     []token // a label on a line above that completes its own
	cost      float64 // of the label
	guess     string  // why the field is a guess, "" when it is none
	grade     string  // of a product
	stranger  string  // a word without a place beside it
	danger    string  // what was not understood that may change it, "" for nothing
	under     bool    // stands in a column, under its heading
	weak      bool    // the label is no exact name, or there is none
	printed   bool    // labelled
	ending    bool    // of a state: the last words of free text
	inherited bool    // stands above the record, for several
}

// The worth of what a token may be. A slip is read in the way that is worth
// most; the figures are a judgement, their order matters more than their size.
const (
	wordWorth      = 1.0  // a token that is part of a labelled value
	factWorth      = 1.0  // a labelled value
	markWorth      = 0.4  // a label mark between label and value
	freeWorth      = 0.7  // a token of a value without label
	unknownCost    = 0.7  // a word that has no place
	numberCost     = 1.0  // a number that has no place
	labelCost      = 0.3  // a label that has no value
	fillerCost     = 0.08 // a word without weight
	misreadCost    = 0.7  // times the distance of a misread word
	headerCost     = 0.6  // a header field among those of a record
	textWorth      = 0.35 // a token of free text
	labelTextWorth = 0.6  // a token of free text with a label
	unknownGrade   = 0.5  // a product whose grade is not known
)

// isHeader reports whether a field belongs to the header, not to a record.
func isHeader(f string) bool { return len(f) > 7 && f[:7] == "header." }

// hasField reports whether one of the facts is of the field.
func hasField(facts []fact, name string) bool {
	for _, f := range facts {
		if f.field == name {
			return true
		}
	}
	return false
}
