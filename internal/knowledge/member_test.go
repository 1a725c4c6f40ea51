package knowledge

import (
	"errors"
	"testing"
)

func TestAdmittingTwiceBringsNameAndRoleUpToDate(t *testing.T) {
	t.Parallel()
	g := found(t, openStore(t), "local")
	first := must(g.Admit(t.Context(), Member{Ref: "1001"}))(t)
	if first.Name != "1001" || first.Role != MemberRole {
		t.Errorf("got %+v", first)
	}
	second := must(g.Admit(t.Context(), Member{Ref: "1001", Name: "Osier", Role: TrainerRole}))(t)
	if second.ID != first.ID {
		t.Errorf("one person is two members: %d, %d", first.ID, second.ID)
	}
	if got := must(g.Member(t.Context(), "1001"))(t); got != second || got.Name != "Osier" || got.Role != TrainerRole {
		t.Errorf("got %+v", got)
	}
	before := must(g.Vocabulary(t.Context()))(t)
	if again := must(g.Admit(t.Context(), second))(t); again != second {
		t.Errorf("got %+v", again)
	}
	if must(g.Vocabulary(t.Context()))(t) != before {
		t.Error("admitting somebody unchanged changed the vocabulary")
	}
	_, err := g.Admit(t.Context(), Member{Ref: "2", Role: "boss"})
	refused(t, err, "role")
	_, err = g.Admit(t.Context(), Member{Ref: " "})
	refused(t, err, "member id")
	if _, err := g.Member(t.Context(), "nobody"); !errors.Is(err, ErrNotFound) {
		t.Errorf("got %v", err)
	}
}

func TestRolesCoverOneAnother(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		has, needs Role
		want       bool
	}{
		{TrainerRole, TrainerRole, true}, {TrainerRole, MemberRole, true}, {MemberRole, MemberRole, true},
		{MemberRole, TrainerRole, false}, {"", MemberRole, false}, {MemberRole, "", true},
	} {
		if got := c.has.Covers(c.needs); got != c.want {
			t.Errorf("%q covers %q: %v", c.has, c.needs, got)
		}
	}
}
