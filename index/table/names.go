package table

import (
	"context"
	"database/sql"
	"strconv"
)

// namesOf is the name under which the numbers of a field's names are kept.
func namesOf(field string) string { return "name " + field }

// Names are the names that records have in a field of Doc.Names, each as a
// number, which is read in one go where the sets of thousands of values would
// have to be read one by one.
type Names struct {
	numbers Numbers
	said    map[int64]string
	number  map[string]int64
}

// Of is the number of a record's name, 0 where there is none.
func (n Names) Of(no uint32) int64 { return n.numbers.Of(no) }

// Said is the name that a number stands for.
func (n Names) Said(number int64) string { return n.said[number] }

// Number is the number that a name has, 0 when no record ever had it.
func (n Names) Number(name string) int64 { return n.number[name] }

// Names gives a field's names of all records.
func (v *View) Names(ctx context.Context, field string) (Names, error) {
	v.mu.Lock()
	n, ok := v.names[field]
	v.mu.Unlock()
	if ok {
		return n, nil
	}
	n.said, n.number = map[int64]string{}, map[string]int64{}
	err := v.each(ctx, `SELECT n.value, t.value, CAST(t.id AS TEXT) FROM note n LEFT JOIN term t ON t.field = ? WHERE n.key = 'stamp'`,
		func(name sql.NullString, id []byte) error {
			number, err := strconv.ParseInt(string(id), 10, 64)
			n.said[number], n.number[name.String] = name.String, number
			return err
		}, field)
	if err == nil {
		n.numbers, err = v.Numbers(ctx, namesOf(field))
	}
	if err != nil {
		return Names{}, err
	}
	v.mu.Lock()
	defer v.mu.Unlock()
	v.names[field] = n
	return n, nil
}
