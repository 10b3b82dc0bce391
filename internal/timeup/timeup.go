// Package timeup lets tests see where time is looked at, without a clock.
package timeup

import "context"

// Context counts how often it is asked whether it has ended, and says that it has once it
// was asked Most times.
type Context struct {
	context.Context
	Looks, Most int
	Note        func() // called at each look; may be nil
}

// Err implements context.Context.
func (c *Context) Err() error {
	if c.Note != nil {
		c.Note()
	}
	if c.Looks++; c.Looks > c.Most {
		return context.DeadlineExceeded
	}
	return nil
}
