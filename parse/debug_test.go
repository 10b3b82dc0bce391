package parse

import (
	"fmt"
	"os"
	"testing"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

func TestDebug(t *testing.T) {
	raw, err := os.ReadFile(os.Getenv("PARSE_DEBUG"))
	if err != nil {
		t.Skip()
	}
	for _, s := range Typed(string(raw)) {
		d := newDoc(s, Hints{})
		k := record.Kind(os.Getenv("PARSE_KIND"))
		for i, l := range d.lines {
			facts, w := d.scan(k, l.toks)
			fmt.Printf("%2d %.2f title=%v %q\n", i, w, d.title(l), textOf(l.toks))
			for _, f := range facts {
				fmt.Printf("      %s = %v %s %q\n", f.field, f.read.value, f.read.unit, textOf(f.read.toks))
			}
		}
		for _, sec := range d.split() {
			fmt.Println("section", sec)
			kinds := record.Kinds()
			for _, k := range kinds {
				r := d.readAs(k, sec)
				fmt.Printf(" as %s %.2f\n", k, r.worth)
				if k == sec.title.kind || sec.title.kind == "" {
					for _, e := range r.entries {
						for _, f := range e.facts {
							fmt.Printf("   %v %s=%v(%q)", e.row, f.field, f.read.value, textOf(f.read.toks))
						}
						fmt.Println()
					}
				}
			}
		}
	}
}

func TestDebugFind(t *testing.T) {
	p := os.Getenv("PARSE_FIND")
	if p == "" {
		t.Skip()
	}
	for _, h := range lexicon.Default().Find(p) {
		fmt.Printf("%+v\n", h)
	}
}

func TestDebugNames(t *testing.T) {
	p := os.Getenv("PARSE_NAMES")
	if p == "" {
		t.Skip()
	}
	d := newDoc(Typed(p)[0], Hints{})
	for _, n := range d.names(d.lines[0].toks) {
		f, ok := d.field(record.Kind(os.Getenv("PARSE_KIND")), n.bag)
		fmt.Printf("%d %v %.2f unit %q field %s %v\n", n.used, []byte(n.bag), n.cost, n.unit, f, ok)
	}
}
