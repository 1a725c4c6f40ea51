package commands

import (
	"context"

	"holdbench/internal/knowledge"
	"holdbench/internal/patientdata"
)

// member is the asker as the group's list has them. Where the surface vouches
// that they belong, the list is brought up to date first: somebody stands on it
// from the first thing they put on record, not from their first question.
func (a Asker) member(ctx context.Context, env *Env) (knowledge.Member, error) {
	if a.Belongs {
		return env.Group.Admit(ctx, knowledge.Member{Ref: a.Ref, Name: a.storedName(), Role: a.Role})
	}
	m, err := env.Group.Member(ctx, a.Ref)
	if isNotFound(err) {
		return m, refuse("Ask the trainer to admit you.", "Tests are logged under a member's name, and you are not on the list.")
	}
	return m, err
}

// storedName is the shown name as it is stored. One that looks like an address, a
// number or a date of birth is not, though it may be the member's own.
func (a Asker) storedName() string {
	if patientdata.Look(a.Name).Verdict == patientdata.Refused {
		return "unnamed member"
	}
	return a.Name
}
