package index

import (
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"

	"tankroll/index/table"
	"tankroll/index/text"
)

func (f *feeder) startPart() error {
	n, err := f.w.Next("part", 1)
	if err != nil {
		return err
	}
	f.part = partName(n)
	path := filepath.Join(f.g.dir, f.part)
	if err := os.RemoveAll(path); err != nil { // what a crash left
		return err
	}
	f.made = append(f.made, path)
	f.builder, err = text.NewBuilder(path)
	return err
}

func partName(n int64) string { return "p" + strconv.FormatInt(n, 10) }

func (f *feeder) closePart() error {
	if f.builder == nil {
		return nil
	}
	docs := f.builder.Docs()
	sum, err := f.builder.Close()
	f.builder = nil
	if err != nil {
		return err
	}
	return f.w.AddPart(table.Part{Name: f.part, Docs: docs, Sum: sum})
}

// Parts of about one size are joined when there are so many, so that their
// number grows with the logarithm of the slips; parts of so many slips stay.
const (
	joinParts = 8
	joinUpTo  = 30000
)

// join makes one part of several small ones.
func (f *feeder) join() error {
	for {
		parts, err := f.w.Parts()
		if err != nil {
			return err
		}
		sizes := map[int][]table.Part{}
		for _, p := range parts {
			class := 0
			for n := p.Docs; n >= joinParts; n /= joinParts {
				class++
			}
			if p.Docs <= joinUpTo {
				sizes[class] = append(sizes[class], p)
			}
		}
		joined := false
		for _, class := range slices.Sorted(maps.Keys(sizes)) {
			if list := sizes[class]; len(list) >= joinParts {
				if err := f.joinThese(list); err != nil {
					return err
				}
				joined = true
				break
			}
		}
		if !joined {
			return nil
		}
	}
}

func (f *feeder) joinThese(list []table.Part) error {
	f.builder = nil
	for _, p := range list {
		slips, err := f.w.InPart(p.Name)
		if err != nil {
			return err
		}
		for capture, some := range byCapture(slips) {
			shown, err := f.ix.src.Shown(f.ctx, capture, capture)
			if err != nil {
				return err
			}
			for _, s := range shown {
				no, ok := some[place{s.Page, s.Slip}]
				if !ok {
					continue
				}
				if f.builder == nil {
					if err := f.startPart(); err != nil {
						return err
					}
				}
				if err := f.w.Move(no, f.part); err != nil {
					return err
				}
				if err := f.builder.Add(no, s.Lines, s.Whole); err != nil {
					return err
				}
			}
		}
		if err := f.w.DropPart(p.Name); err != nil {
			return err
		}
		f.dropped = append(f.dropped, filepath.Join(f.g.dir, p.Name))
	}
	return f.closePart()
}

func byCapture(slips []table.Slip) map[int64]map[place]uint32 {
	out := map[int64]map[place]uint32{}
	for _, s := range slips {
		if out[s.Capture] == nil {
			out[s.Capture] = map[place]uint32{}
		}
		out[s.Capture][place{s.Page, s.Slip}] = s.No
	}
	return out
}
