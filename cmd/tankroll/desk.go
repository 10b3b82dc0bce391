package main

import (
	"context"
	"errors"
	"time"

	"tankroll/archive"
	"tankroll/internal/intake"
	"tankroll/ocr"
)

// now is the clock of the commands.
func now() time.Time { return time.Now() }

// desk opens the archive for one command.
func (a *app) desk(ctx context.Context) (*intake.Desk, error) {
	return a.deskWith(ctx, ocr.Options{Limits: a.limits.ocr()})
}

func (a *app) deskWith(ctx context.Context, o ocr.Options) (*intake.Desk, error) {
	return intake.Open(ctx, a.archive, intake.Options{OCR: o})
}

// withDesk opens the archive, uses it and closes it. One that is not there is not
// made: its name may be mistyped.
func (a *app) withDesk(ctx context.Context, use func(*intake.Desk) error) error {
	if err := archive.Exists(a.archive); err != nil {
		return err
	}
	return a.withNewDesk(ctx, use)
}

// withNewDesk is withDesk that makes an archive where there is none.
func (a *app) withNewDesk(ctx context.Context, use func(*intake.Desk) error) error {
	d, err := a.desk(ctx)
	if err != nil {
		return err
	}
	return errors.Join(use(d), d.Close())
}
