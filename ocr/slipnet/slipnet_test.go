package slipnet

import (
	"testing"
)

func BenchmarkRead(b *testing.B) {
	n, err := Load()
	if err != nil {
		b.Fatal(err)
	}
	var lines []Line
	for range 25 {
		lines = append(lines, NewLine(30))
	}
	for b.Loop() {
		n.Read(lines)
	}
}
