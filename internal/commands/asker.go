package commands

import (
	"context"
	"errors"

	"holdbench/internal/knowledge"
	"holdbench/internal/patientdata"
	"holdbench/internal/trade"
)

// member is the asker as the group's list has them. Where the surface vouches
// that they belong, the list is brought up to date first: somebody stands on it
// from the first thing they put on record, not from their first question.
func (a Asker) member(ctx context.Context, env *Env) (knowledge.Member, error) {
	if a.Belongs {
		m := knowledge.Member{Ref: a.Ref, Name: a.storedName(), Role: a.Role}
		admitted, err := env.Group.Admit(ctx, m)
		var field *trade.FieldError
		if errors.As(err, &field) && m.Name != unnamed { // a name that passes for another
			m.Name = unnamed
			return env.Group.Admit(ctx, m)
		}
		return admitted, err
	}
	m, err := env.Group.Member(ctx, a.Ref)
	return m, told(err, knowledge.ErrNotFound, "Ask the trainer to admit you.",
		"Tests are logged under a member's name, and you are not on the list.")
}

// known is somebody as the group's list has them, with the number 0 where they are not on
// it.
func (env *Env) known(ctx context.Context, ref string) (knowledge.Member, error) {
	m, err := env.Group.Member(ctx, ref)
	if isNotFound(err) {
		return knowledge.Member{}, nil
	}
	return m, err
}

// unnamed stands for a name that is not stored.
const unnamed = "unnamed member"

// storedName is the shown name as it is stored. One that looks like an address, a
// number or a date of birth is not, though it may be the member's own.
func (a Asker) storedName() string {
	if patientdata.Look(a.Name).Verdict == patientdata.Refused {
		return unnamed
	}
	return a.Name
}
