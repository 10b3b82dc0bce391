package parse

// timesNotes finds the lines that say of all times on the slip whether tests began or ended then:
//
//	note = [ "all" ] ( "times" | "dates" ) [ "shown" ] ( "are" | "=" ) words of a start or an end
//
//	TIMES ARE END OF TEST.     DATES SHOWN = TEST COMPLETED
//
// It may be one of several sentences of a line.
func (d *doc) timesNotes() {
	for i := range d.lines {
		l := &d.lines[i]
		if l.rule || l.head {
			continue
		}
		for from := 0; from < len(l.toks); {
			to := from + 1
			for to < len(l.toks) && l.toks[to-1].stop != ';' && l.toks[to-1].stop != '.' {
				to++
			}
			if side := d.timesSide(l.toks[from:to]); side != "" {
				d.timesAre = side
				l.head = l.head || to-from == len(l.toks)
			}
			from = to
		}
	}
}

// timesSide is what a sentence says that all times are of, "start" or "end"; "" for nothing.
func (d *doc) timesSide(toks []token) string {
	const most = 6 // words behind the verb
	if len(toks) > 1 && toks[0].norm == "all" {
		toks = toks[1:]
	}
	if len(toks) < 2 || toks[0].norm != "times" && toks[0].norm != "dates" || hasFigures(toks) {
		return ""
	}
	n := 1
	if toks[0].colon != '=' {
		switch toks[1].norm {
		case "shown", "listed", "given", "printed":
			n++
		}
		if n >= len(toks) || toks[n-1].colon != '=' && toks[n].norm != "are" && toks[n].norm != "mark" && toks[n].norm != "show" {
			return ""
		}
		if toks[n-1].colon != '=' {
			n++
		}
	}
	rest := toks[n:]
	if len(rest) == 0 || len(rest) > most {
		return ""
	}
	bag, unit, cost := d.bag(rest)
	t := labelTables()
	if cost > sureLabelCost || unit != "" || t.has(bag, "start") == t.has(bag, "end") {
		return ""
	}
	if t.has(bag, "end") {
		return "end"
	}
	return "start"
}
