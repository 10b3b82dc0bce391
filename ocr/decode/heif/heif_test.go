package heif

import (
	"errors"
	"testing"

	"github.com/tetratelabs/wazero"

	"tankroll/ocr/decode/sandbox"
)

// TestMemory: the decoder has a gigabyte, and what asks for more is told so.
func TestMemory(t *testing.T) {
	cache := new(sandbox.Cache)
	e := New(cache)
	if err := e.start(); err != nil {
		t.Fatal(err)
	}
	ctx := cache.Context()
	module, err := e.runtime.InstantiateModule(ctx, e.code, wazero.NewModuleConfig().WithName(""))
	if err != nil {
		t.Fatal(err)
	}
	defer module.Close(ctx)
	d := decoder{ctx, module}
	if _, err := d.alloc(memory / 2); err != nil {
		t.Errorf("half of the memory: %v", err)
	}
	if _, err := d.alloc(memory / 2); !errors.Is(err, errMemory) {
		t.Errorf("half of the memory once more, beside the program's own: %v", err)
	}
	const page = 64 << 10
	left := uint32(memory/page) - module.Memory().Size()/page
	if _, ok := module.Memory().Grow(left + 1); ok {
		t.Error("it was given a page more than a gigabyte")
	}
	if _, ok := module.Memory().Grow(left); !ok {
		t.Error("it was not given a gigabyte")
	}
	if most := cache.Most(); most != 1<<30 {
		t.Errorf("it had %d bytes", most)
	}
}
