package parse

import "tankroll/record"

// draft is a record in the making.
type draft struct {
	kind  record.Kind
	facts []fact
	from  int    // first line
	muddy bool   // words of its section have no place
	split bool   // parted from the next or last record by a field that came twice, not by a name
	led   bool   // the section's records have names or leading fields
	doubt string // why nothing in it can be sure, "" when nothing speaks against it
}
