package knowledge

import (
	"errors"
	"slices"
	"testing"
)

func refs(members []Member) (refs []string) {
	for _, m := range members {
		refs = append(refs, m.Ref)
	}
	return refs
}

func TestOnlyThoseWhoAgreedAreTold(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	for _, m := range []Member{osier, lantern} {
		if c := must(g.Choices(ctx, m))(t); c != (Choices{}) {
			t.Errorf("agreed without being asked: %+v", c)
		}
		if err := g.NoteAsked(ctx, m, orrickOn27(), "2026-11-25"); err != nil {
			t.Fatal(err)
		}
	}
	if told := must(g.Followers(ctx, orrickOn27(), "2026-11-01"))(t); len(told) != 0 {
		t.Errorf("told: %v", told)
	}
	if err := g.SetChoices(ctx, lantern, Choices{TellVerdicts: true}); err != nil {
		t.Fatal(err)
	}
	if told := must(g.Followers(ctx, orrickOn27(), "2026-11-25"))(t); !slices.Equal(refs(told), []string{"lantern"}) {
		t.Errorf("told: %v", told)
	}
	if may := must(g.Mentionable(ctx))(t); len(may) != 0 {
		t.Errorf("mentionable: %v", may)
	}
	must(g.Admit(ctx, Member{Ref: "lantern", Name: "Lantern", Role: TrainerRole}))(t) // brought up to date
	if c := must(g.Choices(ctx, lantern))(t); c != (Choices{TellVerdicts: true}) {
		t.Errorf("a new name changed the choices: %+v", c)
	}
	if err := g.SetChoices(ctx, lantern, Choices{MayMention: true}); err != nil {
		t.Fatal(err)
	}
	if told := must(g.Followers(ctx, orrickOn27(), "2026-11-01"))(t); len(told) != 0 {
		t.Errorf("after saying no: %v", told)
	}
	if may := must(g.Mentionable(ctx))(t); len(may) != 1 || !may[must(g.Member(ctx, "lantern"))(t).ID] {
		t.Errorf("mentionable: %v", may)
	}
	if err := g.SetChoices(ctx, Member{Ref: "nobody"}, Choices{}); !errors.Is(err, ErrNotFound) {
		t.Errorf("nobody's choice: %v", err)
	}
}

func TestWhatWasAskedIsForgottenAfterSixtyDays(t *testing.T) {
	t.Parallel()
	s, clock := openMovable(t)
	g, ctx := small(t, s, "local"), t.Context()
	on30 := orrickOn27()
	on30.Instrument = needle(30, 13)
	if err := errors.Join(g.SetChoices(ctx, osier, Choices{TellVerdicts: true}),
		g.NoteAsked(ctx, osier, orrickOn27(), "2026-11-25"),
		g.NoteAsked(ctx, osier, orrickOn27(), "2026-11-20"), // an earlier day changes nothing
		g.NoteAsked(ctx, osier, on30, "2026-11-25")); err != nil {
		t.Fatal(err)
	}
	if told := must(g.Followers(ctx, orrickOn27(), "2026-11-25"))(t); len(told) != 1 {
		t.Errorf("told: %v", told)
	}
	clock.set(stopped.AddDate(0, 0, 60))
	if err := g.NoteAsked(ctx, osier, on30, "2027-01-24"); err != nil {
		t.Fatal(err)
	}
	if told := must(g.Followers(ctx, orrickOn27(), "2026-01-01"))(t); len(told) != 1 {
		t.Errorf("after just sixty days: %v", told)
	}
	clock.set(stopped.AddDate(0, 0, 61))
	if err := g.NoteAsked(ctx, osier, on30, "2027-01-25"); err != nil { // any question forgets the old ones
		t.Fatal(err)
	}
	if told := must(g.Followers(ctx, orrickOn27(), "2026-01-01"))(t); len(told) != 0 {
		t.Errorf("after sixty-one days: %v", told)
	}
	if err := g.ForgetAsked(ctx, "2027-03-27"); err != nil {
		t.Fatal(err)
	}
	if told := must(g.Followers(ctx, on30, "2026-01-01"))(t); len(told) != 0 {
		t.Errorf("forgotten, and yet %v", told)
	}
}

func TestWhatIsNotOnTheListsIsNotNoted(t *testing.T) {
	t.Parallel()
	g, ctx := small(t, openStore(t), "local"), t.Context()
	c := orrickOn27()
	c.Instrument = needle(29, 8)
	if err := g.NoteAsked(ctx, osier, c, "2026-11-25"); err != nil {
		t.Error(err)
	}
	if _, err := g.Instrument(ctx, "29G 8 mm needle"); !errors.Is(err, ErrNotFound) {
		t.Errorf("a question put the needle on the list: %v", err)
	}
	if err := g.NoteAsked(ctx, Member{Ref: "nobody"}, orrickOn27(), "2026-11-25"); !errors.Is(err, ErrNotFound) {
		t.Errorf("nobody asked: %v", err)
	}
}
