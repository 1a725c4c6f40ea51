package knowledge

import (
	"errors"
	"reflect"
	"testing"
	"time"
)

func TestWhatIsNotConfirmedIsKeptForADayAndTakenOnce(t *testing.T) {
	t.Parallel()
	s, c := openMovable(t)
	g, ctx := small(t, s, "local"), t.Context()
	m := must(g.Admit(ctx, Member{Ref: "wren", Name: "Wren"}))(t)
	now := c.read()
	kept := []Unconfirmed{
		{What: "2 results", How: "were stored as tests 7, 8", At: now, Tests: []int64{7, 8}},
		{What: "B-1", How: "was noted as put aside", At: now.Add(time.Second)},
	}
	keep := func() {
		t.Helper()
		if err := g.KeepUnconfirmed(ctx, m, kept...); err != nil {
			t.Fatal(err)
		}
	}
	keep()
	if got := must(g.TakeUnconfirmed(ctx, Member{Ref: "osier"}))(t); got != nil {
		t.Errorf("somebody else's: %+v", got)
	}
	got := must(g.TakeUnconfirmed(ctx, m))(t)
	for i := range got {
		got[i].At = got[i].At.In(kept[i].At.Location())
	}
	if !reflect.DeepEqual(got, kept) {
		t.Errorf("%+v, want %+v", got, kept)
	}
	if got := must(g.TakeUnconfirmed(ctx, m))(t); got != nil {
		t.Errorf("taken twice: %+v", got)
	}
	kept[0].At, kept[1].At = now.Add(-unconfirmedFor), now
	keep()
	if got := must(g.TakeUnconfirmed(ctx, m))(t); len(got) != 1 || got[0].What != "B-1" {
		t.Errorf("of yesterday and today: %+v", got)
	}
	if err := g.KeepUnconfirmed(ctx, Member{Ref: "nobody"}, kept...); !errors.Is(err, ErrNotFound) {
		t.Errorf("of nobody: %v", err)
	}
}
