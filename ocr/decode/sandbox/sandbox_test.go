package sandbox

import (
	"testing"

	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/api"
)

// grower is a program of one function, "grow", which asks for so many pages of
// memory more and returns how many there were, or -1; it starts with pages.
func grower(pages byte) []byte {
	return []byte("\x00asm\x01\x00\x00\x00" +
		"\x01\x06\x01\x60\x01\x7f\x01\x7f" + // a type: a number to a number
		"\x03\x02\x01\x00" + // a function of it
		"\x05\x03\x01\x00" + string(rune(pages)) + // a memory
		"\x07\x08\x01\x04grow\x00\x00" + // the function's name
		"\x0a\x08\x01\x06\x00\x20\x00\x40\x00\x0b") // its code
}

// start starts a program with at most maxBytes of memory.
func start(t *testing.T, c *Cache, maxBytes int64, program []byte) (api.Module, error) {
	t.Helper()
	ctx := c.Context()
	runtime := wazero.NewRuntimeWithConfig(ctx, c.Config(maxBytes))
	t.Cleanup(func() { runtime.Close(ctx) })
	return runtime.Instantiate(ctx, program)
}

// TestMemoryIsBounded: a program gets the memory that it is allowed to the last
// page, and not a page more, whether it asks as it runs or when it starts.
func TestMemoryIsBounded(t *testing.T) {
	for _, pages := range []int32{8, 1 << 14} { // half a megabyte, a gigabyte
		cache := new(Cache)
		module, err := start(t, cache, int64(pages)*pageSize, grower(1))
		if err != nil {
			t.Fatal(err)
		}
		grow := func(n int32) int32 {
			t.Helper()
			got, err := module.ExportedFunction("grow").Call(cache.Context(), api.EncodeI32(n))
			if err != nil {
				t.Fatal(err)
			}
			return api.DecodeI32(got[0])
		}
		if had := grow(pages); had != -1 {
			t.Errorf("it was given %d pages and one more, of %d", pages, pages)
		}
		if had := grow(pages - 1); had != 1 {
			t.Errorf("it was not given what it may have: %d", had)
		}
		if had := grow(1); had != -1 {
			t.Errorf("it was given a page more than %d", pages)
		}
		if most := cache.Most(); most != int64(pages)*pageSize {
			t.Errorf("the most it had is told as %d bytes, of %d", most, pages*pageSize)
		}
	}
	if _, err := start(t, new(Cache), 8*pageSize, grower(8)); err != nil {
		t.Errorf("one that starts with what it may have: %v", err)
	}
	if _, err := start(t, new(Cache), 8*pageSize, grower(9)); err == nil {
		t.Error("one that starts with a page more than it may have is started")
	}
}
