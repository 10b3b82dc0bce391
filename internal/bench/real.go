package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"tankroll/internal/score"
)

// realSlip is a picture of a slip that no model of paper has drawn, with what a person
// says is printed on it.
type realSlip struct {
	name, file      string
	text            []string
	words, plain    score.Words
	took, plainTook float64 // processor seconds
}

// realSlips lists the pictures of a folder, NAME.jpg or NAME.png, that have what is
// printed beside them in NAME.txt, and says of how many that is missing.
func realSlips(folder string) (found []realSlip, bare int, err error) {
	files, err := os.ReadDir(folder)
	if err != nil {
		return nil, 0, fmt.Errorf("-real: %w: give a folder of NAME.jpg or NAME.png with NAME.txt beside", err)
	}
	for _, f := range files {
		ext := filepath.Ext(f.Name())
		switch strings.ToLower(ext) {
		case ".jpg", ".jpeg", ".png":
		default:
			continue
		}
		name := strings.TrimSuffix(f.Name(), ext)
		raw, err := os.ReadFile(filepath.Join(folder, name+".txt"))
		if errors.Is(err, fs.ErrNotExist) {
			bare++
			continue
		}
		if err != nil {
			return nil, 0, fmt.Errorf("-real: %w", err)
		}
		found = append(found, realSlip{name: name, file: filepath.Join(folder, f.Name()), text: strings.Split(string(raw), "\n")})
	}
	if len(found) == 0 {
		return nil, bare, fmt.Errorf("-real: %s has no NAME.jpg or NAME.png with NAME.txt beside: write what is printed into NAME.txt", folder)
	}
	return found, bare, nil
}

// readReal reads a folder of real slips beside plain tesseract.
func readReal(ctx context.Context, out io.Writer, o options) error {
	all, bare, err := realSlips(o.real)
	if err != nil {
		return err
	}
	for i := range all {
		if err := all[i].measure(ctx, o.program); err != nil {
			return fmt.Errorf("%s: %w", all[i].file, err)
		}
	}
	writeReal(out, all, bare)
	return nil
}

func (r *realSlip) measure(ctx context.Context, program string) error {
	plain, plainTook, err := plainTesseract(ctx, r.file, r.text)
	if err != nil {
		return err
	}
	page, took, _, err := read(ctx, program, r.file)
	if err != nil {
		return err
	}
	r.words, r.plain = score.CountWords(r.text, textOf(page)), plain
	r.took, r.plainTook = took.Seconds(), plainTook.Seconds()
	return nil
}

func writeReal(out io.Writer, all []realSlip, bare int) {
	fmt.Fprintf(out, "\nreal slips\n%-32s%8s%9s%9s%8s%9s\n", "picture", "words", "word F1", "plain", "s", "plain s")
	sum := realSlip{name: "all"}
	line := func(r realSlip) {
		fmt.Fprintf(out, "%-32s%8d%9.3f%9.3f%8.2f%9.2f\n", r.name, r.words.Truth, r.words.F1(), r.plain.F1(), r.took, r.plainTook)
	}
	for _, r := range all {
		line(r)
		sum.words, sum.plain = sum.words.Add(r.words), sum.plain.Add(r.plain)
		sum.took, sum.plainTook = sum.took+r.took, sum.plainTook+r.plainTook
	}
	line(sum)
	if bare > 0 {
		fmt.Fprintf(out, "%d more have no text beside them and were left out\n", bare)
	}
}
