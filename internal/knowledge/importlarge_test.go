package knowledge

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"math"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// longFile is a file of so many good tests of so many products, each with a note of its own.
func longFile(n, products int) io.Reader {
	var text strings.Builder
	text.WriteString(testHead + "\n")
	for i := range n {
		gauge, seconds := 27+3*(i%2), 4*math.Exp(0.4*math.Sin(float64(i)))
		fmt.Fprintf(&text, "2026-11-%02d,tester %d,Gel %d,%dG 13 mm needle,supplied,whole "+
			"milk,21,0.1,60,flashback,%.2f,video 30 fps,run %d of the day\n",
			1+i%20, i/7%8, i%products, gauge, seconds, i)
	}
	return strings.NewReader(text.String())
}

// large is a community with such products and testers.
func large(t testing.TB, s *Store, products int) *Group {
	t.Helper()
	g := found(t, s, "large")
	for i := range products {
		must(g.AddProduct(t.Context(), trade.Product{Name: fmt.Sprintf("Gel %d", i), Class: calc.MediumHA}))(t)
	}
	for i := range 8 {
		must(g.Admit(t.Context(), Member{Ref: fmt.Sprintf("tester %d", i)}))(t)
	}
	must(g.AddInstrument(t.Context(), needle(27, 13)))(t)
	must(g.AddInstrument(t.Context(), needle(30, 13)))(t)
	return g
}

// longestWait writes to the store again and again until stop is called, which returns how
// long one of the writers waited at most, and of how many numbers of stored tests one came in between.
func longestWait(t testing.TB, g *Group) (stop func() (time.Duration, int)) {
	ctx, cancel := context.WithCancel(t.Context())
	var most time.Duration
	seen, over := map[int]bool{}, make(chan struct{})
	go func() {
		defer close(over)
		for turn := 0; ctx.Err() == nil; turn++ {
			begun := time.Now()
			if _, err := g.Admit(ctx, Member{Ref: "walker", Name: []string{"walker", "strider"}[turn%2]}); err != nil &&
				ctx.Err() == nil {
				t.Error(err)
			}
			most = max(most, time.Since(begun))
			var stored int
			if g.store.look().Row(ctx, `SELECT COALESCE(SUM(kept_tests), 0) FROM products`).Scan(&stored) == nil {
				seen[stored] = true
			}
			time.Sleep(time.Millisecond)
		}
	}()
	return func() (time.Duration, int) { cancel(); <-over; return most, len(seen) }
}

// While a file of 20 000 tests comes in, whoever logs a test waits for a moment only, and of a file of two parts
// somebody writes between them. The
// bound is far above the half second that is promised on a machine with nothing else to
// do, and far below what one transaction for the whole file took: 5 s and more.
func TestALongFileDoesNotKeepOthersFromWriting(t *testing.T) {
	if testing.Short() {
		t.Skip("two parts of a file")
	}
	const bound = 2500 * time.Millisecond
	rows := ofLong(testsAtOnce+500, 20_000)
	g := large(t, openStore(t), 4)
	stop := longestWait(t, g)
	report, err := g.Import(t.Context(), TestFile, RowsOf(longFile(rows, 4)), Importing{})
	waited, seen := stop()
	if err != nil || report.Added != rows || report.Bad != 0 {
		t.Fatalf("%+v, %v", report, err)
	}
	t.Logf("waited at most %v", waited.Round(time.Millisecond))
	if waited > bound {
		t.Errorf("somebody waited %v to write", waited)
	}
	if seen < 3 { // no test, the first part, all of them
		t.Errorf("nobody wrote between the parts: %d numbers of tests were seen", seen)
	}
	if report, err = g.Import(t.Context(), TestFile, RowsOf(longFile(rows, 4)), Importing{}); err != nil || report.Already != rows ||
		report.Added != 0 {
		t.Errorf("again: %+v, %v", report, err)
	}
}

func TestFaultsAreCountedAndTheFirstNamed(t *testing.T) {
	g := small(t, openStore(t), "local")
	lines := []string{testHead}
	for range 100 {
		lines = append(lines, strings.Replace(goodTest, "osier", "nobody", 1))
	}
	r := importText(t, g, "tests", false, append(lines, goodTest)...)
	if r.Rows != 101 || r.Bad != 100 || len(r.Faults) != mostFaults || r.Faults[mostFaults-1].Line != mostFaults+1 ||
		!r.Refused() {
		t.Errorf("%d rows, %d bad, %d named, %v", r.Rows, r.Bad, len(r.Faults), r.Faults)
	}
	if r = importText(t, g, "tests", true, append(lines, goodTest)...); r.Added != 1 || r.Bad != 100 ||
		len(r.Faults) != mostFaults {
		t.Errorf("skipping: %+v", r)
	}
}

// repeated reads a text so many times.
func repeated(head, line string, times int) io.Reader {
	readers := []io.Reader{strings.NewReader(head)}
	for range times {
		readers = append(readers, strings.NewReader(line))
	}
	return io.MultiReader(readers...)
}

// Of a file of bad lines nothing is kept but their number: it took two gigabytes.
func TestAFileOfBadLinesTakesNoMemory(t *testing.T) {
	const most = 200 << 20
	thousands := ofLong(75, 300) // 75 000 lines took half a gigabyte
	g := small(t, openStore(t), "local")
	file := repeated(testHead+"\n", strings.Repeat(strings.Replace(goodTest, "5.70", "soon", 1)+"\n", 1000), thousands)
	var highest uint64
	watched := readerFunc(func(p []byte) (int, error) {
		var m runtime.MemStats
		if runtime.ReadMemStats(&m); m.HeapAlloc > highest {
			highest = m.HeapAlloc
		}
		return file.Read(p[:min(len(p), 1<<16)])
	})
	r := must(g.Import(t.Context(), TestFile, RowsOf(watched), Importing{SkipBad: true}))(t)
	if r.Rows != thousands*1000 || r.Bad != r.Rows || highest > most {
		t.Errorf("%d of %d bad, %d MB", r.Bad, r.Rows, highest>>20)
	}
}

type readerFunc func([]byte) (int, error)

func (f readerFunc) Read(p []byte) (int, error) { return f(p) }

// worked is the processor time of the tests so far: what else the machine does is not in it.
func worked(t testing.TB) time.Duration {
	t.Helper()
	var used syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &used); err != nil {
		t.Fatal(err)
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}

// A file of many names looks at each a few times, not at all the others for each: three
// times as many take no more than six times as long.
func TestManyNamesComeInOneByOne(t *testing.T) {
	if testing.Short() {
		t.Skip("thousands of products and members")
	}
	for kind, line := range map[FileKind]string{"products": "Gel %d x,medium HA\n", "members": "tester %d x,member\n"} {
		head := map[FileKind]string{"products": "name,gel_class\n", "members": "member,role\n"}[kind]
		work := func(n int) time.Duration {
			g := found(t, openStore(t), "names")
			text := []byte(head)
			for i := range n {
				text = fmt.Appendf(text, line, i)
			}
			begun := worked(t)
			if r := must(g.Import(t.Context(), kind, RowsOf(bytes.NewReader(text)), Importing{}))(t); r.Added != n {
				t.Fatalf("%s: %+v", kind, r)
			}
			return worked(t) - begun
		}
		n := ofLong(1000, 2000)
		one, three := work(n), work(3*n)
		took := fmt.Sprintf("%s: %d in %v, %d in %v", kind, n, one, 3*n, three)
		t.Log(took)
		if three > 6*one {
			t.Error(took)
		}
	}
}

// A test that is logged while a file with the same test is being read is one test.
func TestATestLoggedMeanwhileIsNotStoredTwice(t *testing.T) {
	g := small(t, openStore(t), "local")
	file := strings.NewReader(testHead + "\n" + goodTest + "\n")
	logged := false
	r := must(g.Import(t.Context(), TestFile, RowsOf(readerFunc(func(p []byte) (int, error) {
		if !logged { // what the store has was read by now
			logged = true
			must(g.LogTest(t.Context(), shown(5.70)))(t)
		}
		return file.Read(p)
	})), Importing{}))(t)
	if r.Already != 1 || r.Added != 0 {
		t.Errorf("%+v", r)
	}
	if n := len(must(g.Tests(t.Context(), TestFilter{}))(t)); n != 1 {
		t.Errorf("%d tests", n)
	}
}

// BenchmarkImport is 100 000 tests of ten gels, estimates and all; and how long somebody
// else waited to write meanwhile.
func BenchmarkImport(b *testing.B) {
	for b.Loop() {
		b.StopTimer()
		g := large(b, openStore(b), 10)
		stop := longestWait(b, g)
		b.StartTimer()
		if r, err := g.Import(b.Context(), TestFile, RowsOf(longFile(100_000, 10)), Importing{}); err != nil || r.Added != 100_000 {
			b.Fatalf("%+v, %v", r, err)
		}
		waited, _ := stop()
		b.ReportMetric(waited.Seconds(), "s-waited")
	}
}
