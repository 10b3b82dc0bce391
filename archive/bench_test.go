package archive

import (
	"context"
	"fmt"
	"testing"
)

// BenchmarkKeep is one picture of 100 kB made durable, and its reading with it.
func BenchmarkKeep(b *testing.B) {
	ctx := context.Background()
	s, err := Open(ctx, b.TempDir())
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	raw := make([]byte, 100_000)
	for i := 0; b.Loop(); i++ {
		copy(raw, fmt.Sprintf("\xff\xd8\xff picture %d", i))
		c, _, err := s.Keep(ctx, "a.jpg", raw, "")
		if err != nil {
			b.Fatal(err)
		}
		if err := s.SaveReadings(ctx, c.ID, []Reading{tankTest("2", "2025-03-14T06:41", "pass")}); err != nil {
			b.Fatal(err)
		}
	}
}
