package knowledge

import (
	"sync"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// standIn is a fit of a product that lasts until end is called: who asks meanwhile waits
// for it, or goes by the estimate before.
func standIn(t *testing.T, g *Group, product int64, before *productFile) (end func()) {
	t.Helper()
	f := g.store.fits
	one := newFitting(time.Now().Add(-time.Hour)) // wanted for longer than anybody waits
	one.previous.Store(before)
	close(one.read)
	f.mu.Lock()
	f.busy[product] = one
	f.mu.Unlock()
	return func() {
		f.mu.Lock()
		delete(f.busy, product)
		one.file = &productFile{} // older than anybody wants
		f.mu.Unlock()
		close(one.over)
	}
}

// While an estimate is made, a test is stored and confirmed, and answers count it, go by
// the estimate before, and say so.
func TestNobodyWaitsForALongEstimate(t *testing.T) {
	g := small(t, openStore(t), "local")
	g.store.fits.patience = time.Millisecond
	must(g.AddProduct(t.Context(), trade.Product{Name: "Hesk Paste", Class: calc.CaHAPaste}))(t)
	other := orrickOn27()
	other.Product.Name = "Hesk Paste"
	first := must(g.LogTest(t.Context(), shown(3)))(t)
	product := first.Combination.Product.ID
	if err := g.EstimateMade(t.Context(), product); err != nil {
		t.Fatal(err)
	}
	was := must(g.Evidence(t.Context(), first.Combination, 0))(t)
	if was.Behind {
		t.Error("behind, though it was waited for")
	}
	made, _ := g.store.files.Get(product)
	before := made.withoutEstimate()
	before.take(made.estimate)
	before.behind = true
	end := standIn(t, g, product, before)

	for range 3 {
		must(g.LogTest(t.Context(), shown(9)))(t)
	}
	e := must(g.Evidence(t.Context(), first.Combination, 0))(t)
	if !e.Behind || e.Counts.Run != 4 || e.Forecast.Share(5) != was.Forecast.Share(5) {
		t.Errorf("behind %v, %d tests, %v by 5 s, before %v", e.Behind, e.Counts.Run, e.Forecast.Share(5),
			was.Forecast.Share(5))
	}
	if e := must(g.Evidence(t.Context(), other, 0))(t); e.Behind {
		t.Error("another product's answer is behind")
	}
	end()
	if err := g.EstimateMade(t.Context(), product); err != nil {
		t.Fatal(err)
	}
	if e := must(g.Evidence(t.Context(), first.Combination, 0))(t); e.Behind || asShown(e) != fromScratch(t, g, e) {
		t.Errorf("behind %v: %s", e.Behind, asShown(e))
	}
}

// An estimate that took longer than anybody waits is not waited for the next time, however patient one is, and who ask
// at once share what one of them has read.
func TestNobodyWaitsForAnEstimateThatWillBeLate(t *testing.T) {
	g := small(t, openStore(t), "local")
	f := g.store.fits
	f.patience = time.Nanosecond
	product := must(g.LogTest(t.Context(), shown(3)))(t).Combination.Product.ID
	if err := g.EstimateMade(t.Context(), product); err != nil {
		t.Fatal(err)
	}
	f.mu.Lock()
	slow := f.slow[product]
	f.mu.Unlock()
	if !slow {
		t.Fatal("an estimate that took longer than a nanosecond is not known to be slow")
	}
	made, _ := g.store.files.Get(product)
	before := made.withoutEstimate()
	before.take(made.estimate)
	before.behind = true
	end := standIn(t, g, product, before)
	f.mu.Lock()
	one := f.busy[product]
	one.begun, one.late = time.Now(), true
	f.mu.Unlock()
	f.patience = time.Hour // but for what is late
	must(g.LogTest(t.Context(), shown(9)))(t)
	want := versions{log: made.logVersion + 1}
	files := make([]*productFile, 50)
	begin := make(chan struct{})
	var asking sync.WaitGroup
	for i := range files {
		asking.Go(func() {
			<-begin
			files[i] = must(g.productFileAt(t.Context(), product, want, goBy))(t)
		})
	}
	close(begin)
	asking.Wait()
	for i, file := range files {
		if file != files[0] {
			t.Errorf("number %d read the tests once more", i)
		}
	}
	if files[0].tests() != 2 || !files[0].behind {
		t.Errorf("%d tests, behind %t", files[0].tests(), files[0].behind)
	}
	end()
	if err := g.EstimateMade(t.Context(), product); err != nil {
		t.Fatal(err)
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.slow[product] {
		t.Error("still known to be slow after an estimate within an hour")
	}
}

// What nobody has estimated yet is waited for.
func TestTheFirstEstimateIsWaitedFor(t *testing.T) {
	g := small(t, openStore(t), "local")
	g.store.fits.patience = 0
	product := must(g.Product(t.Context(), "Orrick Mid"))(t).ID
	end := standIn(t, g, product, nil)
	asked := make(chan *Evidence)
	go func() {
		e, err := g.Evidence(t.Context(), orrickOn27(), calc.DefaultPull)
		if err != nil {
			t.Error(err)
		}
		asked <- e
	}()
	select {
	case <-asked:
		t.Error("answered from no estimate")
	case <-time.After(20 * time.Millisecond):
	}
	end()
	if e := <-asked; e == nil || e.Behind {
		t.Errorf("got %+v", e)
	}
}

// Tests logged without a pause are all in the estimate that follows, whoever waits for it.
func TestTheEstimateFollowsTheLatestTest(t *testing.T) {
	g := small(t, openStore(t), "local")
	g.store.fits.patience = 0
	var all sync.WaitGroup
	for i := range 24 {
		all.Go(func() {
			if _, err := g.LogTest(t.Context(), shown(2+float64(i)/8)); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	product := must(g.Product(t.Context(), "Orrick Mid"))(t).ID
	if err := g.EstimateMade(t.Context(), product); err != nil {
		t.Fatal(err)
	}
	e := must(g.Evidence(t.Context(), orrickOn27(), 0))(t)
	if e.Behind || e.Counts.Run != 24 || asShown(e) != fromScratch(t, g, e) {
		t.Errorf("behind %v, %d tests, %s", e.Behind, e.Counts.Run, asShown(e))
	}
}

// A long estimate waits for its place; meanwhile a test of the product is stored and answers go by the estimate before.
// A short one needs no place.
func TestALongEstimateWaitsForItsPlace(t *testing.T) {
	ctx := t.Context()
	g := small(t, openStore(t), "local")
	f := g.store.fits
	f.patience = 0
	bringTests(t, g, "Orrick Mid", 0, longFrom)
	must(g.AddProduct(ctx, trade.Product{Name: "Hesk Paste", Class: calc.CaHAPaste}))(t)
	e := must(g.Evidence(ctx, orrickOn27(), 0))(t)
	for range cap(f.long) {
		f.long <- struct{}{} // others' estimates
	}
	f.patience = time.Hour // but for what has no place
	must(g.LogTest(ctx, shown(9)))(t)
	if e = must(g.Evidence(ctx, e.Combination, 0))(t); !e.Behind || e.Counts.Run != longFrom+1 {
		t.Errorf("behind %t, %d tests, want the estimate before of %d tests", e.Behind, e.Counts.Run, longFrom+1)
	}
	short := shown(9)
	short.Combination.Product.Name = "Hesk Paste"
	if err := g.EstimateMade(ctx, must(g.LogTest(ctx, short))(t).Combination.Product.ID); err != nil {
		t.Error(err)
	}
	for range 50 { // nothing is to happen: however slow the machine, this holds
		time.Sleep(time.Millisecond)
		if e = must(g.Evidence(ctx, e.Combination, 0))(t); !e.Behind {
			t.Fatal("the estimate is made, and there was no place for it")
		}
	}
	for range cap(f.long) {
		<-f.long
	}
	if err := g.EstimateMade(ctx, e.Combination.Product.ID); err != nil {
		t.Fatal(err)
	}
	if e = must(g.Evidence(ctx, e.Combination, 0))(t); e.Behind {
		t.Error("behind, though the estimate is made")
	}
}

// However patient one is, what lies near is named by the estimate before where another gel's takes long.
func TestNoQuestionWaitsForAnotherGelsLongEstimate(t *testing.T) {
	ctx := t.Context()
	g := small(t, openStore(t), "local")
	f := g.store.fits
	f.patience = 0
	bringTests(t, g, "Orrick Mid", 0, longFrom)
	must(g.AddProduct(ctx, trade.Product{Name: "Brenna Mid", Class: calc.MediumHA}))(t)
	other := shown(9)
	other.Combination.Product.Name = "Brenna Mid"
	other = must(g.LogTest(ctx, other))(t)
	e := must(g.Evidence(ctx, orrickOn27(), 0))(t)
	if err := g.EstimateMade(ctx, other.Combination.Product.ID); err != nil {
		t.Fatal(err)
	}
	for range cap(f.long) { // once all are free
		f.long <- struct{}{}
	}
	for range cap(f.long) {
		<-f.long
	}
	held := make(chan struct{})
	f.turn = func() { <-held }
	must(g.LogTest(ctx, shown(9)))(t)
	f.patience = time.Hour
	near := must(g.Evidence(ctx, other.Combination, 0))(t).Nearest
	if len(near) != 1 || near[0].Combination.Product.ID != e.Combination.Product.ID {
		t.Errorf("near it lies %v", near)
	}
	close(held)
	if err := g.EstimateMade(ctx, e.Combination.Product.ID); err != nil {
		t.Fatal(err)
	}
}
