package knowledge

import (
	"errors"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// openMovable opens a new store whose clock is moved by hand.
func openMovable(t testing.TB) (*Store, *clock) {
	t.Helper()
	c := &clock{now: stopped}
	s, err := Open(t.Context(), at(t, filepath.Join(t.TempDir(), "bench.db")), WithClock(c.read), WithPatience(time.Hour))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s, c
}

type clock struct {
	mu  sync.Mutex
	now time.Time
}

func (c *clock) read() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now
}

func (c *clock) set(t time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now = t
}

var (
	osier   = Member{Ref: "osier"}
	lantern = Member{Ref: "lantern"} // the trainer of small
)

func TestOnePersonPerCombinationAtATime(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	taken := must(g.TakeOn(ctx, osier, orrickOn27(), "2026-11-30"))(t)
	if taken.State != ClaimTaken || taken.TakenOn != "2026-11-25" || taken.DueOn != "2026-11-30" ||
		taken.Member.Ref != "osier" {
		t.Errorf("got %+v", taken)
	}
	_, err := g.TakeOn(ctx, lantern, orrickOn27(), "")
	var by *TakenError
	if !errors.Is(err, ErrTaken) || !errors.As(err, &by) || by.Claim.Member.Ref != "osier" ||
		by.Claim.DueOn != "2026-11-30" {
		t.Errorf("somebody else: %v", err)
	}
	other := orrickOn27()
	other.Instrument = needle(30, 13)
	if c := must(g.TakeOn(ctx, lantern, other, ""))(t); c.DueOn != "2026-12-02" {
		t.Errorf("without a day it is due on %s", c.DueOn)
	}
	again := must(g.TakeOn(ctx, osier, orrickOn27(), "2026-12-24"))(t)
	if again.ID != taken.ID || again.DueOn != "2026-12-24" {
		t.Errorf("the same member again: %+v", again)
	}
	if claims := must(g.Claims(ctx))(t); len(claims) != 2 || claims[0].Member.Ref != "lantern" ||
		claims[1].DueOn != "2026-12-24" {
		t.Errorf("open: %+v", claims)
	}
}

func TestADayToTestByIsNearAndNotOver(t *testing.T) {
	t.Parallel()
	g := small(t, openStore(t), "local")
	for day, ok := range map[string]bool{"2026-11-24": false, "2026-11-25": true, "2027-01-24": true,
		"2027-01-25": false, "soon": false} {
		_, err := g.TakeOn(t.Context(), osier, orrickOn27(), day)
		var field *trade.FieldError
		if ok != (err == nil) || !ok && !errors.As(err, &field) {
			t.Errorf("%s: %v", day, err)
		}
	}
}

func TestTwoTakeOnTheSameAtOnceAndOneWins(t *testing.T) {
	t.Parallel()
	g := small(t, openStore(t), "local")
	var all sync.WaitGroup
	errs := make([]error, 16)
	for i := range errs {
		all.Go(func() {
			_, errs[i] = g.TakeOn(t.Context(), []Member{osier, lantern}[i%2], orrickOn27(), "")
		})
	}
	all.Wait()
	claims := must(g.Claims(t.Context()))(t)
	if len(claims) != 1 {
		t.Fatalf("%d claims", len(claims))
	}
	for i, err := range errs {
		won := claims[0].Member.Ref == []string{"osier", "lantern"}[i%2]
		if won != (err == nil) || !won && !errors.Is(err, ErrTaken) {
			t.Errorf("caller %d: %v, the claim is %s's", i, err, claims[0].Member.Ref)
		}
	}
}

func TestATestClosesTheClaimWhoeverLogsIt(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	taken := must(g.TakeOn(ctx, lantern, orrickOn27(), ""))(t)
	elsewhere := shown(2)
	elsewhere.Combination.Instrument = needle(30, 13)
	must(g.LogTest(ctx, elsewhere))(t)
	if n := len(must(g.Claims(ctx))(t)); n != 1 {
		t.Fatalf("a test of another combination leaves %d claims", n)
	}
	first := must(g.LogTest(ctx, shown(2)))(t)
	must(g.LogTest(ctx, shown(3)))(t) // there is nothing left to close
	if open := must(g.Claims(ctx))(t); len(open) != 0 {
		t.Errorf("still open: %+v", open)
	}
	closed := must(g.Closed(ctx, "2026-11-25"))(t)
	if len(closed) != 1 || closed[0].Claim.ID != taken.ID || closed[0].Test.ID != first.ID ||
		closed[0].Test.Tester.Ref != "osier" || closed[0].Claim.State != ClaimLogged {
		t.Errorf("got %+v", closed)
	}
	if later := must(g.Closed(ctx, "2026-11-26"))(t); len(later) != 0 {
		t.Errorf("since tomorrow: %+v", later)
	}
	must(g.TakeOn(ctx, osier, orrickOn27(), ""))(t) // it can be taken on again
}

func TestCreditFollowsACorrectionAndGoesWithAWithdrawal(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	must(g.TakeOn(ctx, osier, orrickOn27(), ""))(t)
	wrong := must(g.LogTest(ctx, shown(2)))(t)
	right := must(g.CorrectTest(ctx, wrong.ID, shown(20), osier, "misread"))(t)
	if closed := must(g.Closed(ctx, "2026-11-01"))(t); len(closed) != 1 || closed[0].Test.ID != right.ID {
		t.Errorf("after a correction: %+v", closed)
	}
	must(g.WithdrawTest(ctx, right.ID, osier, "wrong box"))(t)
	if closed := must(g.Closed(ctx, "2026-11-01"))(t); len(closed) != 0 {
		t.Errorf("after a withdrawal: %+v", closed)
	}

	on30 := orrickOn27()
	on30.Instrument = needle(30, 13)
	must(g.TakeOn(ctx, lantern, on30, ""))(t)
	misplaced := must(g.LogTest(ctx, shown(4)))(t)
	moved := shown(4)
	moved.Combination = on30
	must(g.CorrectTest(ctx, misplaced.ID, moved, osier, "it was the 30G"))(t)
	if closed := must(g.Closed(ctx, "2026-11-01"))(t); len(closed) != 1 || closed[0].Claim.Member.Ref != "lantern" {
		t.Errorf("corrected into a claimed combination: %+v", closed)
	}
	must(g.TakeOn(ctx, lantern, on30, ""))(t)
	again := must(g.Tests(ctx, TestFilter{InstrumentID: must(g.Instrument(ctx, "30G 13 mm needle"))(t).ID}))(t)
	must(g.CorrectTest(ctx, again[0].ID, moved, osier, "note"))(t)
	if n := len(must(g.Claims(ctx))(t)); n != 1 {
		t.Errorf("a correction of an old test closed a claim: %d open", n)
	}
}

func TestLateClaimsLapseAndStandInNobodysWay(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	g, ctx := small(t, s, "local"), t.Context()
	late := must(g.TakeOn(ctx, osier, orrickOn27(), "2026-11-26"))(t)
	on30 := orrickOn27()
	on30.Instrument = needle(30, 13)
	must(g.TakeOn(ctx, osier, on30, "2026-12-20"))(t)
	if lapsed := must(g.LapseClaims(ctx, "2026-11-26"))(t); len(lapsed) != 0 {
		t.Errorf("on the day itself: %+v", lapsed)
	}
	clock.set(stopped.AddDate(0, 0, 2))
	must(g.TakeOn(ctx, lantern, orrickOn27(), ""))(t)
	if lapsed := must(g.LapseClaims(ctx, "2026-11-27"))(t); len(lapsed) != 0 {
		t.Errorf("lapsed when it was taken on again, and yet %+v", lapsed)
	}
	lapsed := must(g.LapseClaims(ctx, "2026-12-21"))(t)
	if len(lapsed) != 2 || lapsed[0].State != ClaimLapsed || lapsed[0].Member.Ref != "lantern" ||
		lapsed[1].Member.Ref != "osier" {
		t.Errorf("got %+v", lapsed)
	}
	if _, err := g.GiveUp(ctx, osier, late.ID); err == nil {
		t.Error("a lapsed claim was given up")
	}
}

func TestAClaimIsGivenUpByWhoTookItOrATrainer(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	must(g.Admit(ctx, Member{Ref: "third"}))(t)
	c := must(g.TakeOn(ctx, osier, orrickOn27(), ""))(t)
	var field *trade.FieldError
	if _, err := g.GiveUp(ctx, Member{Ref: "third"}, c.ID); !errors.As(err, &field) {
		t.Errorf("a third member: %v", err)
	}
	if _, err := g.GiveUp(ctx, osier, c.ID+1); !errors.Is(err, ErrNotFound) {
		t.Errorf("a claim that is not there: %v", err)
	}
	if freed := must(g.GiveUp(ctx, lantern, c.ID))(t); freed.State != ClaimGivenUp || freed.ClosedOn != "2026-11-25" {
		t.Errorf("got %+v", freed)
	}
	must(g.TakeOn(ctx, Member{Ref: "third"}, orrickOn27(), ""))(t)
}

func TestAClaimIsRemindedOfOnceOnTheDayBefore(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	g, ctx := small(t, s, "local"), t.Context()
	c := must(g.TakeOn(ctx, osier, orrickOn27(), "2026-11-28"))(t)
	for day, due := range map[string]int{"2026-11-26": 0, "2026-11-27": 1, "2026-11-28": 1, "2026-11-29": 0} {
		if n := len(must(g.DueClaims(ctx, day))(t)); n != due {
			t.Errorf("%s: %d due, want %d", day, n, due)
		}
	}
	clock.set(stopped.AddDate(0, 0, 2))
	n, mine, err := g.ClaimNotice(ctx, ClaimReminder, c.NoticeKey())
	if err != nil || !mine {
		t.Fatal(mine, err)
	}
	if due := must(g.DueClaims(ctx, "2026-11-27"))(t); len(due) != 1 {
		t.Errorf("not posted yet, and %d due", len(due)) // a crash here must not lose it
	}
	if err := g.CompleteNotice(ctx, n, "post 1"); err != nil {
		t.Fatal(err)
	}
	if due := must(g.DueClaims(ctx, "2026-11-27"))(t); len(due) != 0 {
		t.Errorf("reminded already, and due again: %+v", due)
	}
	if open := must(g.Claims(ctx))(t); len(open) != 1 || open[0].State != ClaimReminded {
		t.Errorf("got %+v", open)
	}
	must(g.TakeOn(ctx, osier, orrickOn27(), "2026-12-04"))(t)
	if due := must(g.DueClaims(ctx, "2026-12-04"))(t); len(due) != 0 {
		t.Errorf("put off after the reminder, and reminded again: %+v", due)
	}
}

func TestAnInstrumentThatIsTakenOnIsAddedToTheList(t *testing.T) {
	t.Parallel()
	g := small(t, openStore(t), "local")
	c := orrickOn27()
	c.Instrument = trade.Instrument{Kind: trade.Cannula, Gauge: 25, LengthMM: 38, Wall: calc.Thin}
	if taken := must(g.TakeOn(t.Context(), osier, c, ""))(t); taken.Combination.Instrument.ID == 0 {
		t.Errorf("got %+v", taken)
	}
}
