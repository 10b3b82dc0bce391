package intake

import (
	"context"
	"errors"
	"path/filepath"

	"tankroll/archive"
	"tankroll/index"
)

// Verify is archive.Verify, and the index beside the archive as well. It changes
// nothing.
func Verify(ctx context.Context, dir string, o archive.VerifyOptions) (archive.Verified, error) {
	sum, err := archive.Verify(ctx, dir, o)
	if err != nil {
		return sum, err
	}
	s, err := archive.OpenReadOnly(ctx, dir)
	if errors.Is(err, archive.ErrDamaged) {
		return sum, nil // told of already
	}
	if err != nil {
		return sum, err
	}
	defer s.Close()
	wrong, err := index.Verify(ctx, filepath.Join(s.Dir(), indexName), s)
	if err != nil && sum.Problems > 0 && ctx.Err() == nil {
		return sum, nil // a damaged archive cannot be compared with
	}
	for _, w := range wrong {
		sum.Problems++
		if o.Found != nil {
			o.Found(archive.Problem{What: indexName, Err: w, Do: "make it again from the archive with tankroll reindex; it holds nothing of its own"})
		}
	}
	return sum, err
}
