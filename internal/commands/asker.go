package commands

import (
	"context"
	"errors"

	"holdbench/internal/knowledge"
	"holdbench/internal/patientdata"
	"holdbench/internal/trade"
)

// member is the asker as the group's list has them. Where the surface vouches that they belong, they are added to the
// list or brought up to date: somebody is on it from the first thing they put on record, not from their first question.
func (a Asker) member(ctx context.Context, env *Env) (knowledge.Member, error) {
	if a.Belongs {
		m := knowledge.Member{Ref: a.Ref, Name: a.storedName(), Role: a.Role}
		admitted, err := env.Group.Admit(ctx, m)
		var field *trade.FieldError
		if errors.As(err, &field) && m.Name != unnamed { // a name that looks like another's
			m.Name = unnamed
			return env.Group.Admit(ctx, m)
		}
		return admitted, err
	}
	m, err := env.Group.Member(ctx, a.Ref)
	return m, told(err, knowledge.ErrNotFound, "Ask the trainer to admit you.",
		"Tests are logged under a member's name, and you are not on the list.")
}

// known is somebody as the group's list has them; the ID is 0 where they are not on it.
func (env *Env) known(ctx context.Context, ref string) (knowledge.Member, error) {
	m, err := env.Group.Member(ctx, ref)
	if isNotFound(err) {
		return knowledge.Member{}, nil
	}
	return m, err
}

// unnamed is stored instead of a name that is refused.
const unnamed = "unnamed member"

// storedName is the asker's name as it is stored. A name that looks like an address, a number or a date of birth is
// not, even if it is the member's own.
func (a Asker) storedName() string {
	if patientdata.Look(a.Name).Verdict == patientdata.Refused {
		return unnamed
	}
	return a.Name
}
