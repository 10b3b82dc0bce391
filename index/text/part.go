// Package text finds slips by their printed words. Its index is a row of parts,
// each a folder of the engine bleve that is written once and never changed, so
// that any number of processes can read one while another adds a part. A part
// knows slips by number; which numbers still stand for a slip is known elsewhere.
//
// A word is looked up in the form of Fold, in which characters that readers take
// for each other are one, and so are all printed words that Word.Is allows for.
package text

import (
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/blevesearch/bleve/v2"
	"github.com/blevesearch/bleve/v2/analysis/analyzer/custom"
	"github.com/blevesearch/bleve/v2/analysis/tokenizer/whitespace"
	"github.com/blevesearch/bleve/v2/mapping"
)

// The fields of a slip: its own lines, and where a slip that was joined of
// several pictures begins, the lines of the whole.
const (
	own   = "text"
	whole = "whole"
)

// newMapping is static: nothing is indexed that is not named here. Words are
// folded before they come here, so that questions, lines and the index cannot
// disagree; the analyser has only to cut at spaces.
func newMapping() (mapping.IndexMapping, error) {
	words := bleve.NewTextFieldMapping()
	words.Analyzer, words.Store, words.IncludeInAll, words.DocValues = "words", false, false, false
	slip := bleve.NewDocumentStaticMapping()
	slip.AddFieldMappingsAt(own, words)
	slip.AddFieldMappingsAt(whole, words)
	m := bleve.NewIndexMapping()
	m.DefaultMapping = slip
	m.IndexDynamic, m.StoreDynamic, m.DocValuesDynamic = false, false, false
	return m, m.AddCustomAnalyzer("words", map[string]any{"type": custom.Name, "tokenizer": whitespace.Name})
}

// builderBatch is how many slips are put into one segment before the segments
// are joined; more win little and take memory.
const builderBatch = 2000

// Builder writes one part. It is used by one goroutine.
type Builder struct {
	b    bleve.Builder
	path string
	docs int
}

// NewBuilder starts a part in a folder that is not there yet.
func NewBuilder(path string) (*Builder, error) {
	m, err := newMapping()
	if err != nil {
		return nil, err
	}
	if err := os.MkdirAll(path, 0o755); err != nil {
		return nil, err
	}
	b, err := bleve.NewBuilder(path, m, map[string]any{"batchSize": builderBatch, "buildPathPrefix": path})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return &Builder{b: b, path: path}, nil
}

// Add adds a slip with its own lines and those of the whole, nil when it was not
// joined.
func (b *Builder) Add(no uint32, lines, joined []string) error {
	b.docs++
	doc := map[string]any{own: joinFolded(lines)}
	if joined != nil {
		doc[whole] = joinFolded(joined)
	}
	return b.b.Index(strconv.FormatUint(uint64(no), 10), doc)
}

func joinFolded(lines []string) string { return strings.Join(Fold(strings.Join(lines, " ")), " ") }

// Docs is the number of slips that were added.
func (b *Builder) Docs() int { return b.docs }

// Close finishes the part and returns the sum of its files. A part without slips
// must be abandoned.
func (b *Builder) Close() (string, error) {
	if err := b.b.Close(); err != nil {
		return "", fmt.Errorf("%s: %w", b.path, err)
	}
	return sumOf(b.path)
}

// Abandon takes away what was written.
func (b *Builder) Abandon() error { return os.RemoveAll(b.path) }

// sumOf is a checksum of a part's files with their names. The engine itself
// opens a part that lacks a segment or has flipped bytes.
func sumOf(path string) (string, error) {
	h := crc32.New(crc32.MakeTable(crc32.Castagnoli))
	err := filepath.WalkDir(path, func(p string, d fs.DirEntry, err error) error {
		if err != nil || !d.Type().IsRegular() {
			return err
		}
		rel, err := filepath.Rel(path, p)
		if err != nil {
			return err
		}
		f, err := os.Open(p)
		if err != nil {
			return err
		}
		defer f.Close()
		n, err := io.Copy(h, f)
		fmt.Fprintf(h, "%s %d\n", filepath.ToSlash(rel), n)
		return err
	})
	return fmt.Sprintf("%08x", h.Sum32()), err
}

// ErrDamaged says that a part cannot be what was written.
var ErrDamaged = errors.New("a part of the text index is damaged")

// openTimeout bounds the wait for another process: a part is only read, so
// nobody should hold it for themselves.
const openTimeout = "5s"

// Part is an open part. Its methods may be called from several goroutines.
type Part struct {
	b bleve.Index
}

// CheckPart compares the files of a part with their sum.
func CheckPart(path, sum string) error {
	if have, err := sumOf(path); err != nil || have != sum {
		return fmt.Errorf("%w: %s does not have the bytes that were written: %w", ErrDamaged, filepath.Base(path), errors.Join(err))
	}
	return nil
}

// OpenPart opens a part whose files have a known sum.
func OpenPart(path, sum string) (*Part, error) {
	if err := CheckPart(path, sum); err != nil {
		return nil, err
	}
	var b bleve.Index
	err := guarded(func() (err error) {
		b, err = bleve.OpenUsing(path, map[string]any{"bolt_timeout": openTimeout, "read_only": true})
		return err
	})
	if err != nil {
		return nil, err
	}
	return &Part{b}, nil
}

// Close releases the part.
func (p *Part) Close() error { return p.b.Close() }

// guarded turns an error or a panic over damaged files into ErrDamaged.
func guarded(f func() error) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("%w: %v", ErrDamaged, r)
		}
	}()
	if err := f(); err != nil {
		return fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	return nil
}
