package knowledge

import (
	"fmt"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// heavy is a file that counts as so many bytes.
func heavy(bytes int) *productFile { return &productFile{tests: make([]BenchTest, bytes/700)} }

func TestTheShelfKeepsWhatWasUsedLast(t *testing.T) {
	s := newShelf(2, 1<<20)
	files := []*productFile{{logVersion: 1}, {logVersion: 2}, {logVersion: 3}}
	s.put(1, files[0])
	s.put(2, files[1])
	s.get(1)
	s.put(3, files[2])
	if s.get(2) != nil || s.get(1) != files[0] || s.get(3) != files[2] {
		t.Error("what was used last went, or what was not stayed")
	}
	newer := &productFile{logVersion: 4}
	s.put(1, newer)
	if s.get(1) != newer || s.latest.Len() != 2 {
		t.Error("a newer file did not take the place of the older one")
	}
}

func TestTheShelfIsBoundedInBytes(t *testing.T) {
	s := newShelf(100, 3000)
	for product := range int64(10) {
		s.put(product, heavy(1400))
		if s.size > 3000 {
			t.Fatalf("%d bytes", s.size)
		}
	}
	if s.latest.Len() != 2 || s.size != 2800 {
		t.Errorf("%d files of %d bytes", s.latest.Len(), s.size)
	}
	s.put(10, heavy(7000)) // alone larger than the shelf
	if s.latest.Len() != 1 || s.get(10) == nil {
		t.Errorf("%d files", s.latest.Len())
	}
	s.put(11, &productFile{})
	if s.latest.Len() != 1 || s.size != 0 {
		t.Errorf("%d files of %d bytes", s.latest.Len(), s.size)
	}
}

// What a file has answered is kept with it and counts too.
func TestTheShelfCountsWhatHasBeenAnswered(t *testing.T) {
	s := newShelf(100, 200_000)
	var files []*productFile
	for product := range int64(2) {
		estimate := must(calc.Fit(calc.MediumHA, nil, calc.DefaultSpread()))(t)
		files = append(files, &productFile{estimate: estimate})
		s.put(product, files[product])
	}
	before := s.size
	if before < 2*files[0].estimate.Bytes() || s.latest.Len() != 2 {
		t.Fatalf("%d files of %d bytes", s.latest.Len(), before)
	}
	setup, _, err := trade.Combination{Instrument: needle(27, 13), Syringe: trade.Syringe{Name: "supplied", GasML: 0.1}}.Setup()
	if err != nil {
		t.Fatal(err)
	}
	for ceiling := range maxReadings {
		must(files[1].reading(question{setup, calc.DefaultPull, calc.HoldRule{Ceiling: calc.Seconds(1 + ceiling), Target: 0.9}}))(t)
	}
	s.get(1)
	if s.size < before+maxReadings*1000 {
		t.Errorf("%d bytes with %d answers, %d without", s.size, maxReadings, before)
	}
	s.maxLen = s.size - 1
	if s.get(1) == nil || s.get(0) != nil {
		t.Error("the file that was not used last is still there")
	}
}

// TestDroppedIsReadAgain has many ask at once on a shelf that holds one product:
// whoever still uses what is dropped goes on with it, and all answers are as they
// are on an ample one.
func TestDroppedIsReadAgain(t *testing.T) {
	s := openStore(t)
	g := demo(t, s, "circle")
	tested := must(g.Tested(t.Context()))(t)
	want := map[string]string{}
	for _, c := range tested {
		want[c.Combination.String()] = saysOf(t, g, c.Combination)
	}
	s.shelf = newShelf(1, 1)
	var askers sync.WaitGroup
	for asker := range 4 {
		askers.Go(func() {
			for n := range tested {
				c := tested[(n*(1+2*asker)+asker)%len(tested)].Combination
				if diff := cmp.Diff(want[c.String()], saysOf(t, g, c)); diff != "" {
					t.Errorf("%s (-ample +dropped):\n%s", c, diff)
				}
			}
		})
	}
	askers.Wait()
	if s.shelf.latest.Len() != 1 {
		t.Errorf("%d products on a shelf for one", s.shelf.latest.Len())
	}
}

// saysOf is what the group knows of a combination, as text.
func saysOf(t *testing.T, g *Group, c trade.Combination) string {
	e, err := g.Evidence(t.Context(), c, 0)
	if err != nil {
		return err.Error()
	}
	return fmt.Sprintf("%s, %+v, %+v, %d tests, %d flagged, nearest %v", e.Verdict, e.Forecast.Share(e.Ceiling), e.Counts.ByCeiling, len(e.Tests), len(e.Flagged), e.Nearest)
}
