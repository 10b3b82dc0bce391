package parse

import (
	"fmt"
	"math"
	"slices"

	"tankroll/record"
)

// Where paper is narrow a table is cut into several, one below the other, each of
// which begins its rows with the numbers of the tanks, or follows a list that names
// them:
//
//	keyed = { thing } table { table }      the same numbers in each table
//
// joinTables puts the rows of the same thing together, so that each record stands as
// one row where its first table stands.
func joinTables(k record.Kind, entries []entry) []entry {
	own := ownName(k)
	if own == "device" || own == "sensor" {
		return entries
	}
	tables := tablesOf(entries, own)
	if len(tables) == 0 {
		return entries
	}
	gone := map[int]bool{}
	for n, t := range tables {
		goesOn := k == record.LineSummary && !hasClass(entries[t.rows[0]].facts) // with the test of the table above
		for m, first := range tables[:n] {
			if gone[first.rows[0]] || !first.joins(t, entries, own) {
				continue
			}
			apart := k == record.LineSummary && testsApart(entries[first.rows[0]], entries[t.rows[0]])
			if apart && (!goesOn || slices.ContainsFunc(tables[m+1:n], func(o keyedTable) bool { return hasClass(entries[o.rows[0]].facts) })) {
				continue
			}
			rows, _ := first.rowsOf(t)
			for row, i := range t.rows {
				to := &entries[rows[row]]
				for _, f := range entries[i].facts {
					if apart && isPassField(f.field) && f.guess == "" {
						f.guess = "no test is named with it; it is taken for the one of the passes above"
					}
					contestIn(to.facts, f, own)
					if hasField(to.facts, f.field) {
						f.field = "" // said before; its words have their place
					}
					to.facts = append(to.facts[:len(to.facts):len(to.facts)], f)
				}
				to.row = true
				gone[i] = true
			}
			break
		}
	}
	nameRows(entries, tables, own, gone)
	var out []entry
	for i, e := range entries {
		if !gone[i] {
			out = append(out, e)
		}
	}
	return out
}

// testsApart reports whether two rows of passes are not of one test: they name two, or one
// names none.
func testsApart(a, b entry) bool {
	class := func(e entry) (string, bool) {
		c, passes := "", false
		for _, f := range e.facts {
			if f.read.class != "" {
				c = f.read.class
			}
			passes = passes || isPassField(f.field)
		}
		return c, passes
	}
	x, xs := class(a)
	y, ys := class(b)
	return xs && ys && x != y
}

// contestIn doubts the fact of a row for which another table has another value.
func contestIn(facts []fact, f fact, own string) {
	for i := range facts {
		if o := &facts[i]; f.field != "" && f.field != own && f.field != "product" && o.field == f.field && o.guess == "" && textOf(o.read.toks) != textOf(f.read.toks) && !sameAmount(*o, f) {
			o.guess = fmt.Sprintf("%q stands for it as well", textOf(f.read.toks))
		}
	}
}

// keyedTable are the entries of one table whose rows begin with a number.
type keyedTable struct {
	at   int // its first line
	rows []int
	keys []string
}

// tablesOf finds the tables whose every row has a number.
func tablesOf(entries []entry, own string) []keyedTable {
	var out []keyedTable
	bad := map[int]bool{}
	for i, e := range entries {
		if e.table == 0 || e.more {
			continue
		}
		key, ok := keyOf(e.facts, own)
		if !ok {
			bad[e.table] = true
			continue
		}
		if n := len(out) - 1; n >= 0 && out[n].at == e.table {
			out[n].rows, out[n].keys = append(out[n].rows, i), append(out[n].keys, key)
			continue
		}
		out = append(out, keyedTable{e.table, []int{i}, []string{key}})
	}
	return slices.DeleteFunc(out, func(t keyedTable) bool { return bad[t.at] })
}

// keyOf is the number of the thing that facts are about, or its product where no number is
// told.
func keyOf(facts []fact, own string) (string, bool) {
	for _, name := range []string{own, "product"} {
		for _, f := range facts {
			if f.field == name {
				s, ok := f.read.value.(string)
				return s, ok
			}
		}
	}
	return "", false
}

// rowsOf are the rows of this table for the rows of a later one: the same things in the same
// order or, where each has one row, some of them. Not ok for others.
func (t keyedTable) rowsOf(o keyedTable) ([]int, bool) {
	if slices.Equal(t.keys, o.keys) {
		return t.rows, true
	}
	var out []int
	for i, key := range o.keys {
		row := slices.Index(t.keys, key)
		if row < 0 || slices.Contains(t.keys[row+1:], key) || slices.Contains(o.keys[i+1:], key) {
			return nil, false
		}
		out = append(out, t.rows[row])
	}
	return out, true
}

// joins reports whether a later table has rows for things of this one and says nothing that
// this one says already.
func (t keyedTable) joins(o keyedTable, entries []entry, own string) bool {
	to, ok := t.rowsOf(o)
	if a, b := classAt(entries, t.rows[0]), classAt(entries, o.rows[0]); !ok || a != "" && b != "" && a != b {
		return false
	}
	for row, i := range o.rows {
		more := false // it says something of the thing
		for _, f := range entries[i].facts {
			more = more || f.field != own && !hasField(entries[to[row]].facts, f.field)
			for _, said := range entries[to[row]].facts {
				again := f.read.class != "" && f.read.class == said.read.class || f.field == "product" && textOf(f.read.toks) == textOf(said.read.toks) || sameAmount(f, said)
				if f.field == said.field && f.field != own && !again {
					return false
				}
			}
		}
		if !more {
			return false
		}
	}
	return true
}

// sameAmount reports whether two facts of a field are of one amount: a variance may come again
// without its sign, as how large it is.
func sameAmount(a, b fact) bool {
	x, ok := a.read.value.(float64)
	y, too := b.read.value.(float64)
	return ok && too && a.field == b.field && (x == y || a.field == "over_short" && math.Abs(x) == math.Abs(y))
}

// classAt is the class of test that a row says, or that the last line above it says which
// is no row; "" for none.
func classAt(entries []entry, row int) string {
	for i := row; i >= 0; i-- {
		if i < row && entries[i].row {
			continue
		}
		for _, f := range entries[i].facts {
			if f.read.class != "" {
				return f.read.class
			}
		}
	}
	return ""
}

// nameRows gives the rows of tables the products of entries above them that name the
// things and say nothing else, an entry for each row.
func nameRows(entries []entry, tables []keyedTable, own string, gone map[int]bool) {
	names := map[string][]int{}
	for i, e := range entries {
		if key, ok := keyOf(e.facts, own); ok && hasField(e.facts, own) && e.table == 0 && len(e.facts) == 2 && hasField(e.facts, "product") {
			names[key] = append(names[key], i)
		}
	}
	for _, t := range tables {
		if gone[t.rows[0]] {
			continue
		}
		for key, from := range names {
			var to []int
			for row, i := range t.rows {
				if t.keys[row] == key && i > from[len(from)-1] && !hasField(entries[i].facts, "product") {
					to = append(to, i)
				}
			}
			if len(to) != len(from) {
				continue
			}
			for n, i := range to {
				for _, f := range entries[from[n]].facts {
					if f.field == own {
						f.field = ""
					}
					entries[i].facts = append(entries[i].facts[:len(entries[i].facts):len(entries[i].facts)], f)
				}
				entries[i].row = true
				gone[from[n]] = true
			}
			delete(names, key)
		}
	}
}
