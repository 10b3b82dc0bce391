package index

import (
	"context"
	"strings"

	"github.com/RoaringBitmap/roaring/v2"
)

// made chooses what another does, which is worked out once for a view: for what many
// questions ask.
func made(of expr) expr { return exprMade{of} }

func (e exprMade) set(ctx context.Context, v view) (*roaring.Bitmap, error) {
	return v.Made(e.of.key(), func() (*roaring.Bitmap, error) { return e.of.set(ctx, v) })
}
func (e exprMade) within(ctx context.Context, v view, of *roaring.Bitmap) (*roaring.Bitmap, error) {
	return cutWith(ctx, v, e, of)
}
func (e exprMade) size(ctx context.Context, v view) (uint64, error) { return sizeOf(ctx, v, e) }

func (e exprValues) set(ctx context.Context, v view) (*roaring.Bitmap, error) {
	return v.Made(e.field+" in "+strings.Join(e.values, "\x00"), func() (*roaring.Bitmap, error) {
		if err := v.Load(ctx, e.field, e.values); err != nil {
			return nil, err
		}
		out := roaring.New()
		for _, s := range e.values {
			set, err := v.Set(ctx, e.field, s)
			if err != nil {
				return nil, err
			}
			out.Or(set)
		}
		return out, nil
	})
}
func (e exprValues) within(ctx context.Context, v view, of *roaring.Bitmap) (*roaring.Bitmap, error) {
	return cutWith(ctx, v, e, of)
}
func (e exprValues) size(ctx context.Context, v view) (uint64, error) { return sizeOf(ctx, v, e) }
