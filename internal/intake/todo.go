package intake

import (
	"context"

	"tankroll/archive"
)

// Why a picture or file is to be looked at.
const (
	TodoWaiting  = "waiting"  // kept, and not read yet
	TodoFailed   = "failed"   // a page of it could not be read, or nothing is printed there
	TodoDoubtful = "doubtful" // records with doubtful fields
	TodoAlike    = "alike"    // two records that may be one
	TodoRefused  = "refused"  // a file of a watched folder that was not kept
)

// Todo is one thing that a person should look at.
type Todo struct {
	Why     string   `json:"why"`
	File    string   `json:"file"`
	Capture string   `json:"capture,omitempty"`
	Page    int      `json:"page,omitempty"`    // of a failed page
	Reason  string   `json:"reason,omitempty"`  // why it failed or was refused
	Records []string `json:"records,omitempty"` // the doubtful ones, or the two that may be one
}

// Todo lists what waits, what failed, what is doubtful and what may be one, in that
// order and by the time it was kept. What a person confirmed is no longer doubtful.
func (d *Desk) Todo(ctx context.Context) ([]Todo, error) {
	captures, err := d.store.Captures(ctx)
	if err != nil {
		return nil, err
	}
	files := map[string]string{}
	var out []Todo
	for _, c := range captures {
		files[c.ID] = c.File
		if !c.Read {
			out = append(out, Todo{Why: TodoWaiting, File: c.File, Capture: c.ID})
		}
	}
	bad, err := d.store.Unreadable(ctx, "")
	if err != nil {
		return nil, err
	}
	for _, b := range bad {
		out = append(out, Todo{Why: TodoFailed, File: files[b.Capture], Capture: b.Capture, Page: b.Page, Reason: b.Error})
	}
	rows, err := d.store.Rows(ctx, archive.Filter{})
	if err != nil {
		return nil, err
	}
	doubtful := map[string][]string{}
	for _, r := range rows {
		if !r.Sure() {
			doubtful[r.Capture] = append(doubtful[r.Capture], r.ID)
		}
	}
	for _, c := range captures {
		if list := doubtful[c.ID]; len(list) > 0 {
			out = append(out, Todo{Why: TodoDoubtful, File: c.File, Capture: c.ID, Records: list})
		}
	}
	err = d.store.EachAlike(ctx, 0, func(x archive.Alike) error {
		out = append(out, Todo{Why: TodoAlike, File: x.B.File, Capture: x.B.Capture, Records: []string{x.A.ID, x.B.ID}})
		return nil
	})
	if err != nil {
		return nil, err
	}
	watched, err := d.store.Watched(ctx)
	if err != nil {
		return nil, err
	}
	for _, w := range watched {
		if w.Error != "" {
			out = append(out, Todo{Why: TodoRefused, File: w.Path, Reason: w.Error})
		}
	}
	return out, nil
}
