//go:build !sqlite_fts5

package main

// rival is nothing without the tag.
type rival struct{}

func newRival(string) (rival, error)    { return rival{}, nil }
func (rival) add(int, made) error       { return nil }
func (rival) measure(records int) error { return nil }
