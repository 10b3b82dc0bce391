package main

import (
	"context"
	"testing"

	"tankroll/archive"
	"tankroll/index"
)

// TestFill: what fill writes is an archive, and is found.
func TestFill(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	slips, err := fill(ctx, dir, 300, nil)
	if err != nil {
		t.Fatal(err)
	}
	store, err := archive.Open(ctx, dir)
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	rows, err := store.Rows(ctx, archive.Filter{})
	if err != nil || len(rows) < 300 {
		t.Fatalf("%d records on %d slips: %v", len(rows), slips, err)
	}
	ix, err := index.Open(ctx, dir+"/index", store)
	if err != nil {
		t.Fatal(err)
	}
	defer ix.Close()
	a, err := ix.AskWords(ctx, "how many alarms", today)
	if err != nil || a.Total == 0 {
		t.Errorf("%d alarms: %v", a.Total, err)
	}
}
