package commands

import "holdbench/internal/knowledge"

// Belonging is an asker of whom the surface knows that they belong to the group.
func Belonging(ref, name string, trainer bool) Asker {
	a := Asker{Ref: ref, Name: name, Role: knowledge.MemberRole, Belongs: true}
	if trainer {
		a.Role = knowledge.TrainerRole
	}
	return a
}

// ForTrainers reports whether a command is for trainers alone.
func ForTrainers(cmd *Command) bool { return !knowledge.MemberRole.Covers(cmd.Who) }
