package index

import (
	"slices"
	"strings"

	"tankroll/archive"
	"tankroll/index/query"
	"tankroll/record"
)

// gradeConstraint asks for a product's grade. A record that prints no product
// counts when other records surely say what its tank or line holds.
func (k *asker) gradeConstraint(q query.Query, kind []constraint) (constraint, error) {
	grade := q.Grade
	var places *spots
	silent, err := made(allOf(all(kind), is("grade", noGrade))).set(k.ctx, k.v)
	if err != nil {
		return constraint{}, err
	}
	if !silent.IsEmpty() {
		if places, err = k.spots(allOf(isAny("grade", strings.Split(grade, ",")), is("known", "yes")), q); err != nil {
			return constraint{}, err
		}
	}
	lex := k.ix.lex
	list := strings.Split(grade, ",")
	return constraint{"of product " + orSaid(grade), orAt(isAny("grade", list), is("grade", noGrade), places),
		func(r archive.Row) bool {
			g := gradeOf(r.Record, lex)
			return slices.Contains(list, g) && g != "" || g == "" && places.has(where(r))
		},
		func(r archive.Row) []string {
			if gradeOf(r.Record, lex) == "" {
				return []string{"tank", "line", "site"}
			}
			return []string{"grade", "product"}
		}, []string{"grade", "product", "tank", "line", "site"},
		func(q *query.Query) { q.Grade = "" }}, nil
}

// orAt finds what says a thing itself, and what is silent about it at one of the
// places of which other records say it.
func orAt(says, silent expr, places *spots) expr {
	if places == nil || len(places.names) == 0 {
		return says
	}
	return anyOf(says, allOf(silent, exprAt{places}))
}

// placeConstraint asks for where a sensor is. An alarm or a status that names
// only the sensor's number counts when other records surely say where that
// sensor is.
func (k *asker) placeConstraint(q query.Query) (constraint, error) {
	tag := tagPlace + q.Place
	says := allOf(is("tag", tag), but(is("kind", string(record.SensorStatus)), inDoubt([]string{"sensor", "location", "site"})))
	if ofSump(q) {
		for _, t := range phrases([]string{q.Grade}) {
			says = allOf(says, saidBy(record.SensorStatus, t))
		}
	}
	places, err := k.spots(says, q)
	if err != nil {
		return constraint{}, err
	}
	named := func(r archive.Row) bool { return slices.Contains(placesNamed(r), q.Place) }
	return constraint{"in a " + q.Place, orAt(is("tag", tag), is("copy", "no"), places),
		func(r archive.Row) bool { return named(r) || places.has(where(r)) },
		func(r archive.Row) []string {
			if named(r) {
				return []string{"location", "event"}
			}
			return []string{"sensor", "device", "device_number", "site"}
		}, []string{"location", "event", "sensor", "device", "device_number", "site"},
		func(q *query.Query) { q.Place = "" }}, nil
}

// ofSump reports an alarm of the diesel sump and the like: a product that belongs to
// the sensor's label.
func ofSump(q query.Query) bool {
	return q.Kind == record.Alarm && q.Place != "" && q.Grade != "" && !strings.Contains(q.Grade, ",")
}
