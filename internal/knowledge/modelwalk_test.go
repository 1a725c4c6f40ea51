package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"testing"

	"pgregory.net/rapid"

	"holdbench/internal/calc"
	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// walk takes random steps in the store and in the model.
type walk struct {
	t     *rapid.T
	ctx   context.Context
	path  string
	clock *clock
	s     *Store
	g     *Group
	m     *model

	products, instruments, syringes []int64 // products also by numbers that are gone
	members                         []string
	steps, merges                   int
}

func (w *walk) open() {
	var err error
	if w.s, err = Open(w.ctx, w.path, WithClock(w.clock.read)); err != nil {
		w.t.Fatal(err)
	}
}

// reopen closes the file and opens it again: all that counts is in it.
func (w *walk) reopen() {
	if err := w.s.Close(); err != nil {
		w.t.Fatal(err)
	}
	w.open()
	w.g = got(w, w.s.Group)(w.ctx, "local")
}

// got turns a call that may fail into one that ends the walk.
func got[A, T any](w *walk, call func(context.Context, A) (T, error)) func(context.Context, A) T {
	return func(ctx context.Context, a A) T {
		v, err := call(ctx, a)
		if err != nil {
			w.t.Fatal(err)
		}
		return v
	}
}

func (w *walk) found() {
	w.g = got(w, w.s.Found)(w.ctx, NewCommunity{Ref: "local", Name: "Circle"})
	for i, class := range []calc.GelClass{calc.SoftHA, calc.MediumHA, calc.FirmHA} {
		p := got(w, w.g.AddProduct)(w.ctx, trade.Product{Name: fmt.Sprintf("gel %c", 'a'+i), Class: class})
		w.products = append(w.products, p.ID)
		w.m.names[p.ID], w.m.class[p.ID] = []string{p.Name}, class
	}
	for _, i := range []trade.Instrument{needle(27, 13), needle(30, 13)} {
		w.instruments = append(w.instruments, got(w, w.g.AddInstrument)(w.ctx, i).ID)
	}
	for _, s := range got(w, func(ctx context.Context, _ int) ([]trade.Syringe,
		error) {
		return w.g.Syringes(ctx)
	})(w.ctx, 0)[:2] {
		w.syringes = append(w.syringes, s.ID)
	}
	for _, m := range []Member{{Ref: "osier"}, {Ref: "tidewell"}, {Ref: "lantern", Role: TrainerRole}} {
		w.members = append(w.members, got(w, w.g.Admit)(w.ctx, m).Ref)
	}
}

func draw[T any](w *walk, what string, from ...T) T { return rapid.SampledFrom(from).Draw(w.t, what) }

func (w *walk) member() Member { return Member{Ref: draw(w, "member", w.members...)} }

// product draws a product by a number that may have gone into another's.
func (w *walk) product() (asked, now int64) {
	asked = draw(w, "product", w.products...)
	if into, gone := w.m.moved[asked]; gone {
		return asked, into
	}
	return asked, asked
}

// combination draws one; to the model it is the product as it is now.
func (w *walk) combination() (trade.Combination, combinationKey) {
	asked, now := w.product()
	k := combinationKey{now, draw(w, "instrument", w.instruments...), draw(w, "syringe", w.syringes...)}
	return trade.Combination{Product: trade.Product{ID: asked}, Instrument: trade.Instrument{ID: k.instrument},
		Syringe: trade.Syringe{ID: k.syringe}}, k
}

func (w *walk) test() BenchTest {
	test := shown(draw(w, "seconds", 1.5, 4, 9, 22))
	test.TestedOn = w.m.today
	return test
}

// want ends the walk unless an error is there exactly when it is wanted.
func (w *walk) want(refused bool, err error, as any) {
	w.t.Helper()
	switch target, isError := as.(error); {
	case !refused && err != nil, refused && err == nil:
		w.t.Fatalf("refused %v, want %v: %v", err != nil, refused, err)
	case refused && isError && !errors.Is(err, target):
		w.t.Fatalf("got %v, want %v", err, target)
	case refused && !isError && !errors.As(err, as):
		w.t.Fatalf("got %v, want a %T", err, as)
	}
}

// check holds the store against the model, the costly parts now and then.
func (w *walk) check(all bool) {
	shows, err := shownBy(w.ctx, w.g)
	if err != nil {
		w.t.Fatal(err)
	}
	if want := w.m.shown(); shows != want {
		w.t.Fatalf("the store shows\n%s\nthe model\n%s", shows, want)
	}
	if !all {
		return
	}
	if err := w.m.checkOpen(got(w, w.g.Untested)(w.ctx, w.m.today)); err != nil {
		w.t.Fatal(err)
	}
	changes := got(w, w.g.VerdictChanges)(w.ctx, stopped.AddDate(-1, 0, 0))
	if err := checkHistory(changes); err != nil && w.merges == 0 { // a merge puts two histories side by side
		w.t.Fatal(err)
	}
	var verdicts []string
	for k, n := range w.m.kept() {
		c := trade.Combination{Product: trade.Product{ID: k.product}, Instrument: trade.Instrument{ID: k.instrument},
			Syringe: trade.Syringe{ID: k.syringe}}
		e, err := w.g.Evidence(w.ctx, c, 0)
		if err != nil || e.Counts.Run != n {
			w.t.Fatalf("%v: %d tests counted, want %d, %v", k, e.Counts.Run, n, err)
		}
		verdicts = append(verdicts, fmt.Sprintf("%v %s", k, e.State))
	}
	w.checkVerdicts(verdicts)
	w.checkCounts()
}

// checkCounts holds the counts that are kept in step against the tests.
func (w *walk) checkCounts() {
	type counted struct {
		k combinationKey
		n int
	}
	rows, err := database.Collect(w.ctx, w.s.look(), func(rows *sql.Rows, c *counted) error {
		return rows.Scan(&c.k.product, &c.k.instrument, &c.k.syringe, &c.n)
	}, `
		SELECT product_id, instrument_id, syringe_id, kept_tests FROM tested_combinations
		WHERE community_id = ? AND kept_tests > 0
		UNION ALL
		SELECT id, 0, 0, kept_tests FROM products WHERE community_id = ? AND kept_tests > 0`, w.g.id, w.g.id)
	if err != nil {
		w.t.Fatal(err)
	}
	want := w.m.kept()
	for k, n := range w.m.kept() {
		want[combinationKey{product: k.product}] += n
	}
	got := map[combinationKey]int{}
	for _, c := range rows {
		got[c.k] = c.n
	}
	if !maps.Equal(got, want) {
		w.t.Fatalf("counted %v, want %v", got, want)
	}
}

// checkVerdicts holds the verdicts on record against those answered.
func (w *walk) checkVerdicts(answered []string) {
	recorded, err := database.Collect(w.ctx, w.s.look(), func(rows *sql.Rows, line *string) error {
		var k combinationKey
		var verdict string
		err := rows.Scan(&k.product, &k.instrument, &k.syringe, &verdict)
		*line = fmt.Sprintf("%v %s", k, verdict)
		return err
	}, `SELECT product_id, instrument_id, syringe_id, state FROM verdicts WHERE community_id = ?`, w.g.id)
	if got, want := lines(recorded), lines(answered); err != nil || got != want {
		w.t.Fatalf("on record %s, answered %s, %v", got, want, err)
	}
}

func TestTheStoreKeepsWhatAPlainModelKeeps(t *testing.T) {
	t.Parallel()
	folder, runs := t.TempDir(), 0
	rapid.Check(t, func(rt *rapid.T) {
		runs++
		w := &walk{t: rt, ctx: t.Context(), path: at(t, filepath.Join(folder, fmt.Sprintf("%d.db", runs))),
			clock: &clock{now: stopped}, m: newModel("2026-11-25")}
		w.open()
		defer func() {
			if err := w.s.Close(); err != nil {
				rt.Error(err)
			}
			os.Remove(w.path)
		}()
		w.found()
		steps := []func(*walk){(*walk).hold, (*walk).release, (*walk).putAside, (*walk).takeOut, (*walk).takeOn,
			(*walk).giveUp, (*walk).lapse,
			(*walk).logTest, (*walk).batch, (*walk).sendAgain, (*walk).remove, (*walk).change, (*walk).merge,
			(*walk).rename, (*walk).addAlias, (*walk).nextDay, (*walk).reopen,
			// the usual ones twice
			(*walk).hold, (*walk).putAside, (*walk).putAside, (*walk).takeOn, (*walk).logTest, (*walk).batch,
			(*walk).change}
		for range rapid.IntRange(1, 25).Draw(rt, "steps") {
			w.steps++
			steps[rapid.IntRange(0, len(steps)-1).Draw(rt, "step")](w)
			w.checkCounts()
			w.check(false)
		}
		w.check(true)
		w.reopen()
		w.check(true)
	})
}
