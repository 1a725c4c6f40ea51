package commands

import "holdbench/internal/knowledge"

// Belonging is somebody who belongs to the group on the surface's word.
func Belonging(ref, name string, trainer bool) Asker {
	a := Asker{Ref: ref, Name: name, Role: knowledge.MemberRole, Belongs: true}
	if trainer {
		a.Role = knowledge.TrainerRole
	}
	return a
}

// ForTrainers reports whether a command is for trainers alone.
func ForTrainers(cmd *Command) bool { return !knowledge.MemberRole.Covers(cmd.Who) }
