package durability

import (
	"bufio"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"
)

var rows = flag.Int("rows", 0, "import a file of so many tests by the program and measure it; a million take ten minutes")

// TestALongFileIsImported measures `bot import` of a file of tests of ten gels into an empty
// store, in its own process: make million.
func TestALongFileIsImported(t *testing.T) {
	if *rows == 0 {
		t.Skip("takes minutes: make million")
	}
	program, folder := built(t), t.TempDir()
	brought := func(kind string, write func(io.Writer)) *os.ProcessState {
		t.Helper()
		path := filepath.Join(folder, kind+".csv")
		file := must(os.Create(path))(t)
		buffered := bufio.NewWriter(file)
		write(buffered)
		if err := buffered.Flush(); err != nil {
			t.Fatal(err)
		}
		file.Close()
		cmd := exec.Command(program, "import", kind, path)
		cmd.Env = append(os.Environ(), "HOLDBENCH_STORE_PATH="+filepath.Join(folder, "bench.db"))
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%s: %v\n%s", kind, err, out)
		}
		return cmd.ProcessState
	}
	brought("products", func(w io.Writer) {
		fmt.Fprintln(w, "name,gel_class")
		for i := range loadGels {
			fmt.Fprintf(w, "%s,medium HA\n", bigGel(i))
		}
	})
	brought("instruments", func(w io.Writer) {
		fmt.Fprint(w, "kind,gauge,length_mm,wall\nneedle,27,13,thin\nneedle,30,13,thin\n")
	})
	brought("members", func(w io.Writer) { fmt.Fprint(w, "member,role\ntester 1,member\n") })
	began := time.Now()
	state := brought("tests", func(w io.Writer) { longFile(w, *rows) })
	usage := state.SysUsage().(*syscall.Rusage)
	t.Logf("%d tests: %s of processor time, %s by the clock, at most %d MB", *rows,
		(state.UserTime() + state.SystemTime()).Round(time.Second), time.Since(began).Round(time.Second), usage.Maxrss>>10)
	if n := count(t, raw(t, filepath.Join(folder, "bench.db")), `SELECT id FROM tests`); n != *rows {
		t.Errorf("%d tests in the store, want %d", n, *rows)
	}
}

// longFile writes tests that are all different.
func longFile(w io.Writer, n int) {
	fmt.Fprintln(w, "tested_on,member,product,instrument,syringe,liquid,liquid_c,pull_ml,limit_s,outcome,seconds,timing")
	for i := range n {
		fmt.Fprintf(w, "2026-01-%02d,tester 1,%s,%s,supplied,whole milk,20,0.1,60,flashback,%.2f,video 30 fps\n",
			1+i/20%28, bigGel(i%loadGels), needles[i/loadGels%2], 0.5+float64(i/560)/100)
	}
}
