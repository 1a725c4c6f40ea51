package knowledge

import (
	"fmt"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"holdbench/internal/cache"
	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// What a file has answered is kept with it and counts too.
func TestAFileCountsWhatHasBeenAnswered(t *testing.T) {
	t.Parallel()
	s := cache.New[int64](200_000, (*productFile).bytes)
	var files []*productFile
	for product := range int64(2) {
		estimate := must(calc.Fit(calc.MediumHA, nil, calc.DefaultSpread()))(t)
		files = append(files, &productFile{})
		files[product].take(estimate)
		s.Put(product, files[product])
	}
	kept, before := s.Size()
	if before < 2*files[0].estimate.Bytes() || kept != 2 {
		t.Fatalf("%d files of %d bytes", kept, before)
	}
	setup, _, err := trade.Combination{Instrument: needle(27, 13),
		Syringe: trade.Syringe{Name: "supplied", GasML: 0.1}}.Setup()
	if err != nil {
		t.Fatal(err)
	}
	for ceiling := range maxReadings {
		must(files[1].reading(question{setup, calc.DefaultPull, calc.HoldRule{Ceiling: calc.Seconds(1 + ceiling),
			Target: 0.9}}))(t)
	}
	s.Get(1)
	if _, after := s.Size(); after < before+maxReadings*1000 {
		t.Errorf("%d bytes with %d answers, %d without", after, maxReadings, before)
	}
}

// TestDroppedIsReadAgain has many ask at once where one product is kept in memory:
// whoever still uses what is dropped goes on with it, and all answers are as they
// are where all are kept.
func TestDroppedIsReadAgain(t *testing.T) {
	t.Parallel()
	s := openStore(t)
	g := demo(t, s, "circle")
	tested := must(g.Tested(t.Context()))(t)
	want := map[string]string{}
	for _, c := range tested {
		want[c.Combination.String()] = saysOf(t, g, c.Combination)
	}
	s.files = cache.New[int64](1, (*productFile).bytes)
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
	if kept, _ := s.files.Size(); kept != 1 {
		t.Errorf("%d products are kept where one has room", kept)
	}
}

// saysOf is what the group knows of a combination, as text.
func saysOf(t *testing.T, g *Group, c trade.Combination) string {
	e, err := g.Evidence(t.Context(), c, 0)
	if err != nil {
		return err.Error()
	}
	return fmt.Sprintf("%s, %+v, %+v, %d tests, %d flagged, nearest %v", e.Verdict, e.Forecast.Share(e.Ceiling),
		e.Counts.ByCeiling, e.Tests.Len(), e.Flagged.Len(), e.Nearest)
}

func TestVocabulariesAreBoundedByTheirNames(t *testing.T) {
	t.Parallel()
	s := openStore(t)
	named := func(names int) *Vocabulary { return &Vocabulary{Instruments: make([]trade.Instrument, names)} }
	for community := range int64(40) {
		s.vocabularies.Put(community, named(mostNames/10))
	}
	if kept, names := s.vocabularies.Size(); kept != 10 || names != mostNames {
		t.Errorf("%d vocabularies with %d names", kept, names)
	}
	s.vocabularies.Put(1000, named(3*mostNames))
	if kept, names := s.vocabularies.Size(); kept != 1 || names != 3*mostNames {
		t.Errorf("beside one that is too long alone: %d, %d names", kept, names)
	}
	s.forget()
	for community := range int64(3) {
		s.vocabularies.Put(community, named(mostNames/3))
	}
	if kept, _ := s.vocabularies.Size(); kept != 3 {
		t.Errorf("%d vocabularies of three that have room", kept)
	}
}
