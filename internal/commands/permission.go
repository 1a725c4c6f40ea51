package commands

import "holdbench/internal/knowledge"

// notPermitted says to whom a command is open that is not open to the asker.
func notPermitted(who knowledge.Role, asker Asker) string {
	switch {
	case who == knowledge.TrainerRole && asker.RoleUnknown:
		return "It is for the group's trainer. If that is you, use it as a command in the server: here nobody can be told to be one."
	case who == knowledge.TrainerRole:
		return "It is for the group's trainer."
	}
	return "It is for members of the group; ask the trainer to admit you."
}
