package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"tankroll/archive"
	"tankroll/internal/intake"
)

func (a *app) enterCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "enter FILE.jsonl",
		Short: "keep records typed in from paper that could not be read",
		Long: `Keeps records typed in by hand, a JSON document a line:

  {"site": "114", "kind": "tank_test", "printed_at": "2026-03-01T06:10",
   "fields": {"tank": "2", "result": "pass"}, "note": "roll torn"}

They are kept as entered by hand and never pass for read ones. A line that is
wrong stops the work; put it right and enter the whole file again, since the
same line twice is kept once. FILE may be - for standard input.`,
		Args: exactly(1, "the file of typed records"),
		RunE: func(c *cobra.Command, args []string) error {
			return a.withNewDesk(c.Context(), func(d *intake.Desk) error { return a.enter(c.Context(), d, args[0]) })
		},
	}
}

// maxTyped bounds one typed record, in bytes.
const maxTyped = 1 << 20

func (a *app) enter(ctx context.Context, d *intake.Desk, name string) error {
	entries, err := a.entries(name)
	if err != nil {
		return err
	}
	for i, e := range entries {
		r, err := d.Store().Enter(ctx, e)
		if err != nil {
			return fmt.Errorf("%s: record %d of %d: %w; those before it are kept, put it right and enter the file again", name, i+1, len(entries), err)
		}
		if a.json {
			if err := a.line(intake.NewRecordDoc(r)); err != nil {
				return err
			}
			continue
		}
		a.say("%s  %s\n", r.ID, title(r.Record))
	}
	return d.CatchUp(ctx)
}

func (a *app) entries(name string) ([]archive.Entry, error) {
	var raw []byte
	var err error
	if name == "-" {
		raw, err = io.ReadAll(io.LimitReader(a.in, 64*maxTyped))
	} else {
		raw, err = intake.ReadFile(name, 0)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	var out []archive.Entry
	lines := bufio.NewScanner(bytes.NewReader(raw))
	lines.Buffer(nil, maxTyped)
	for n := 1; lines.Scan(); n++ {
		if len(bytes.TrimSpace(lines.Bytes())) == 0 {
			continue
		}
		dec := json.NewDecoder(bytes.NewReader(lines.Bytes()))
		dec.DisallowUnknownFields()
		var e archive.Entry
		if err := dec.Decode(&e); err != nil {
			return nil, fmt.Errorf("%s line %d: %w; nothing of the file was kept, put the line right and enter it again", name, n, err)
		}
		out = append(out, e)
	}
	if err := lines.Err(); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s: holds no records; write one JSON document a line", name)
	}
	return out, nil
}
