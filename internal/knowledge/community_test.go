package knowledge

import (
	"errors"
	"slices"
	"testing"
	"time"

	"holdbench/internal/calc"
)

func TestACommunityStartsWithTheUsualSyringes(t *testing.T) {
	t.Parallel()
	g := found(t, openStore(t), "local")
	var names []string
	for _, s := range must(g.Syringes(t.Context()))(t) {
		names = append(names, s.Name)
		want := calc.SuppliedGas
		if s.FixedNeedle {
			want = calc.FixedNeedleGas
		}
		if s.GasML != want.Millilitres() {
			t.Errorf("%s has %v mL of gas", s.Name, s.GasML)
		}
	}
	if want := []string{"supplied", "fixed-needle 0.3 mL", "fixed-needle 0.5 mL",
		"fixed-needle 1 mL"}; !slices.Equal(names, want) {
		t.Errorf("got %q", names)
	}
	settings := must(g.Settings(t.Context()))(t)
	if settings != (Settings{Name: "Circle local", Zone: "UTC", Ceiling: 10, Target: 0.9, LeastTests: 3,
		LeastMembers:    2,
		ReminderWeekday: time.Monday, ReminderHour: 8, BoxItems: 5, BoxDays: 28, KeepDays: 30}) {
		t.Errorf("got %+v", settings)
	}
}

func TestACommunityIsFoundedOnceAndFoundByItsRef(t *testing.T) {
	t.Parallel()
	s := openStore(t)
	found(t, s, "a")
	if _, err := s.Found(t.Context(), NewCommunity{Ref: "a", Name: "Again"}); !errors.Is(err, ErrDuplicate) {
		t.Errorf("got %v", err)
	}
	if _, err := s.Group(t.Context(), "b"); !errors.Is(err, ErrNotFound) {
		t.Errorf("got %v", err)
	}
	found(t, s, "b")
	var refs []string
	for _, g := range must(s.Groups(t.Context()))(t) {
		refs = append(refs, g.Ref())
	}
	if !slices.Equal(refs, []string{"a", "b"}) {
		t.Errorf("got %q", refs)
	}
	for field, c := range map[string]NewCommunity{
		"community id":   {Name: "x"},
		"community name": {Ref: "x"},
		"time zone":      {Ref: "x", Name: "x", Zone: "Mars/North"},
		"ceiling":        {Ref: "x", Name: "x", Ceiling: 121},
	} {
		_, err := s.Found(t.Context(), c)
		refused(t, err, field)
	}
}

// A log that is taken over by a server while all are listed is listed once, by the
// old name or by the new.
func TestAllCommunitiesAreListedAsTheyAreAtOneMoment(t *testing.T) {
	t.Parallel()
	s := openStore(t)
	found(t, s, "a")
	found(t, s, "old")
	over := make(chan error, 1)
	go func() {
		for range 100 {
			if err := errors.Join(s.Adopt(t.Context(), "old", "new"), s.Adopt(t.Context(), "new", "old")); err != nil {
				over <- err
				return
			}
		}
		over <- nil
	}()
	for {
		select {
		case err := <-over:
			if err != nil {
				t.Fatal(err)
			}
			return
		default:
			if all := must(s.Groups(t.Context()))(t); len(all) != 2 {
				t.Fatalf("%d of 2 listed", len(all))
			}
		}
	}
}

func TestCeilingAndTargetAreSetWithinReason(t *testing.T) {
	t.Parallel()
	g := found(t, openStore(t), "local")
	if err := errors.Join(g.UpdateSettings(t.Context(), func(to *Settings) error { to.Ceiling = 15; return nil }),
		g.UpdateSettings(t.Context(), func(to *Settings) error { to.Target = 0.8; return nil })); err != nil {
		t.Fatal(err)
	}
	if s := must(g.Settings(t.Context()))(t); s.Ceiling != 15 || s.Target != 0.8 {
		t.Errorf("got %+v", s)
	}
	for _, bad := range []calc.Seconds{0, -1, 121} {
		refused(t, g.UpdateSettings(t.Context(), func(to *Settings) error { to.Ceiling = bad; return nil }), "ceiling")
	}
	for _, bad := range []float64{0.4, 1} {
		refused(t, g.UpdateSettings(t.Context(), func(to *Settings) error { to.Target = bad; return nil }),
			"target share")
	}
}
