package main

import (
	"os/exec"
	"path/filepath"
	"testing"
)

// BenchmarkAskCold starts the built program, demo and all, for one answer.
func BenchmarkAskCold(b *testing.B) {
	program := filepath.Join(b.TempDir(), "bot")
	if out, err := exec.Command("go", "build", "-buildvcs=false", "-o", program, ".").CombinedOutput(); err != nil {
		b.Fatalf("%v\n%s", err, out)
	}
	b.ResetTimer()
	for b.Loop() {
		if out, err := exec.Command(program, "ask", "hold time for Orrick Mid on 27G 13 mm").CombinedOutput(); err != nil {
			b.Fatalf("%v\n%s", err, out)
		}
	}
}
