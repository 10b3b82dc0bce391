package powercut

import (
	"io/fs"
	"maps"
	"math/rand"
	"os"
	"path/filepath"
)

// sector is what a disk writes whole.
const sector = 512

// Lie is a disk that says that it has synced and has not.
type Lie struct {
	Files, Dirs bool
}

// Luck chooses what of the unsynced arrives; nothing does for nil.
type Luck interface {
	keep() bool
	tear(n int) []bool // which sectors of a write arrive; nil for all
}

// All is luck that lets everything arrive.
type All struct{}

func (All) keep() bool      { return true }
func (All) tear(int) []bool { return nil }

// Some is luck by a seed: half of it arrives, and of that a third torn.
func Some(seed int64) Luck { return some{rand.New(rand.NewSource(seed))} }

type some struct{ *rand.Rand }

func (s some) keep() bool { return s.Intn(2) == 0 }

func (s some) tear(n int) []bool {
	if s.Intn(3) > 0 {
		return nil
	}
	out := make([]bool, (n+sector-1)/sector)
	for i := range out {
		out[i] = s.keep()
	}
	return out
}

// platter is what lies on the disk, and what waits to be synced.
type platter struct {
	held  map[*node][]byte
	names map[*node]map[string]*node
	modes map[*node]fs.FileMode
	waits map[*node][]op
	order []*node // that ever waited, so that luck meets them in one order
}

// Cut writes into a folder what a power cut after n noted operations leaves.
func (d *Disk) Cut(n int, lie Lie, luck Luck, to string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	p := platter{map[*node][]byte{}, map[*node]map[string]*node{}, map[*node]fs.FileMode{}, map[*node][]op{}, nil}
	for _, o := range d.log[:n] {
		switch o.kind {
		case Write, Truncate:
			p.wait(o.node, o)
		case Chmod:
			p.modes[o.node] = fs.FileMode(o.off)
		case Create, Mkdir, Remove:
			p.wait(o.in, o)
		case Rename:
			p.wait(o.in, o)
			if o.into != o.in { // a name in each of two folders, synced on their own
				p.wait(o.into, o)
			}
		case Sync:
			if !lie.Files {
				p.arrive(o.node, All{})
			}
		case SyncDir:
			if !lie.Dirs {
				p.arrive(o.node, All{})
			}
		}
	}
	for _, at := range p.order {
		p.arrive(at, luck)
	}
	return p.write(d.tree, to)
}

func (p *platter) wait(at *node, o op) {
	if _, ok := p.waits[at]; !ok {
		p.order = append(p.order, at)
	}
	p.waits[at] = append(p.waits[at], o)
}

// arrive puts on the disk what waits for a file or a folder, as luck has it.
func (p *platter) arrive(at *node, luck Luck) {
	for _, o := range p.waits[at] {
		if luck == nil || !luck.keep() {
			continue
		}
		if at.names == nil {
			p.change(at, o, luck)
			continue
		}
		names := p.namesOf(at)
		if o.kind == Rename || o.kind == Remove {
			if o.in == at {
				delete(names, o.name)
			}
			if o.into == at {
				names[o.name2] = o.node
			}
			continue
		}
		names[o.name] = o.node
	}
	p.waits[at] = p.waits[at][:0]
}

// change is a write or a truncation of a file.
func (p *platter) change(at *node, o op, luck Luck) {
	held, ok := p.held[at]
	if !ok {
		held = append([]byte(nil), at.held...)
	}
	if o.kind == Truncate {
		held = append(held, make([]byte, max(0, int(o.off)-len(held)))...)[:o.off]
		p.held[at] = held
		return
	}
	torn := luck.tear(len(o.data))
	for i := 0; i < len(o.data); i += sector {
		if torn != nil && !torn[i/sector] {
			continue
		}
		piece := o.data[i:min(i+sector, len(o.data))]
		from := int(o.off) + i
		held = append(held, make([]byte, max(0, from+len(piece)-len(held)))...)
		copy(held[from:], piece)
	}
	p.held[at] = held
}

func (p *platter) namesOf(at *node) map[string]*node {
	if p.names[at] == nil {
		p.names[at] = maps.Clone(at.had)
		if p.names[at] == nil {
			p.names[at] = map[string]*node{}
		}
	}
	return p.names[at]
}

// write makes a file or a folder.
func (p *platter) write(at *node, to string) error {
	if at.names == nil {
		held, ok := p.held[at]
		if !ok {
			held = at.held
		}
		mode, ok := p.modes[at]
		if !ok {
			mode = at.mode
		}
		return os.WriteFile(to, held, mode)
	}
	if err := os.MkdirAll(to, 0o755); err != nil {
		return err
	}
	for name, n := range p.namesOf(at) {
		if err := p.write(n, filepath.Join(to, name)); err != nil {
			return err
		}
	}
	return nil
}
