package commands

import "holdbench/internal/commands/question"

// What is said to what is no question about a hold: at most twenty words, and a way
// on. It bears on no hold, so it carries no caveats.

// short is a Card of one short line, with ways on.
func short(line string, ways ...Action) *Card {
	figures := askedBack{State: stateUnclear, Choices: []string{}, Caveats: []string{}}
	return &Card{Title: line, Bare: true, Actions: ways, Figures: figures}
}

// talk is the reply to talk of a kind, nil for none.
func talk(kind question.Talk) *Card {
	way := func(label, command string) Action {
		return Action{Label: label, Request: Request{Command: command}}
	}
	help, method := way("what can be asked", helpName), way("how the numbers are made", methodName)
	switch kind {
	case question.Greeting:
		return short("Hello. Which gel, on which needle or cannula?", help)
	case question.Thanks:
		return short("You are welcome.", help)
	case question.Farewell:
		return short("Goodbye.", help)
	case question.AsksFlashback:
		return short("Blood, on the bench its stand-in, seen in the hub while the plunger is held back.", method)
	case question.AsksWhoThisIs:
		return short("I tell how long to hold before flashback shows, from your group's bench tests.", help)
	case question.AsksHowToLog:
		return short("Write log, the gel, the needle and the seconds, or none and how long you watched.",
			way("the form", logName))
	case question.AsksWhatToTest:
		return short("What the group stocks and has not tested says most.", way("what is worth a test", untestedName))
	case question.AsksAdvice:
		return short("That is for your training and the product's instructions; "+
			"I only know what the group timed on the bench.", help)
	}
	return nil
}
