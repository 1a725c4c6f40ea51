package commands

import "holdbench/internal/commands/question"

// What is said to what is no question about a hold: at most twenty words, and a way
// on. It bears on no hold, so it carries no caveats.

// short is a Card of one short line, with ways on.
func short(line string, ways ...Action) *Card {
	figures := askedBack{State: stateUnclear, Choices: []string{}, Caveats: []string{}}
	return &Card{Title: line, Bare: true, Actions: ways, Figures: figures}
}

// remark is what is said to talk of one kind, with the ways on from there.
type remark struct {
	line string
	ways []Action
}

// way is a way on: a button that asks for a command.
func way(label, command string) Action {
	return Action{Label: label, Request: Request{Command: command}}
}

// replies are what is said to each kind of talk that is not answered by doing something.
var replies = map[question.Talk]remark{
	question.Greeting: {"Hello. Which gel, on which needle or cannula?",
		[]Action{way("what can be asked", helpName)}},
	question.Thanks: {"You are welcome.",
		[]Action{way("what can be asked", helpName)}},
	question.Farewell: {"Goodbye.",
		[]Action{way("what can be asked", helpName)}},
	question.AsksFlashback: {"Blood, on the bench its stand-in, seen in the hub while the plunger is held back.",
		[]Action{way("how the numbers are made", methodName)}},
	question.AsksWhoThisIs: {"I tell how long to hold before flashback shows, from your group's bench tests.",
		[]Action{way("what can be asked", helpName)}},
	question.AsksHowToLog: {"Write log, the gel, the needle and the seconds, or none and how long you watched.",
		[]Action{way("the form", logName)}},
	question.AsksWhatToTest: {"What the group stocks and has not tested says most.",
		[]Action{way("what is worth a test", untestedName)}},
	question.AsksHowToTest: {"Put a nearly empty syringe aside with a clean needle; " +
		"the run sheet then says how to test it.",
		[]Action{way("the run sheet", benchName), way("what is worth a test", untestedName)}},
	question.AsksNewGel: {"A trainer puts a gel on the list. Then say that you stock it, to have it tested.",
		[]Action{way("the gels", productsName), way("note what you stock", stockName)}},
	question.AsksToChangeATest: {"Your tests are listed with their numbers. Then write for example: correct 27: 0.5 s.",
		[]Action{way("your part of the log", historyName)}},
	question.AsksOwnSheet: {"Each combination you stock stands on your sheet with its hold.",
		[]Action{way("your sheet", mineName)}},
	question.AsksWhatWasTested: {"What the group has tested is a picture: gels by needles and cannulas.",
		[]Action{way("the coverage", coverageName)}},
	question.AsksNews: {"What was tested since the last weekly prompt, and what changed by it:",
		[]Action{way("the news", newsName)}},
	question.AsksTesters: {"The testers stand side by side, with how sure a difference is.",
		[]Action{way("the testers", testersName)}},
	question.AsksOwnData: {"You can see what is stored about you, take it away, or have it erased.",
		[]Action{way("what is stored", myDataName), way("have it erased", eraseName)}},
	question.AsksNegative: {"A negative never shows that the tip is outside a vessel. " +
		"What it is worth is reckoned for one combination.",
		[]Action{way("what no flashback is worth", negativeName)}},
	question.AsksAdvice: {"That is for your training and the product's instructions; " +
		"I only know what the group timed on the bench.",
		[]Action{way("what can be asked", helpName)}},
}

// talk is the reply to talk of a kind, nil for none.
func talk(kind question.Talk) *Card {
	r, said := replies[kind]
	if !said {
		return nil
	}
	return short(r.line, r.ways...)
}
