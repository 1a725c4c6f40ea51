package commands

import "holdbench/internal/commands/question"

// Replies to what is no question about a hold have at most twenty words, and buttons for what to ask instead. Those
// that bear on no hold carry no caveats.

// short is a Card of one short line, with buttons for what to ask next.
func short(line string, ways ...Action) *Card {
	return &Card{Title: line, Bare: true, Actions: ways, Figures: askedBack{Caveats: []string{}}}
}

// talkReply is the reply to one kind of talk, with buttons for what to ask next.
type talkReply struct {
	line  string
	ways  []Action
	bears bool // on a hold or on bench work, so that it carries the caveats
}

// way is a button for a command.
func way(label, command string) Action {
	return Action{Label: label, Request: Request{Command: command}}
}

// replies are the replies to each kind of talk that asks for nothing to be done.
var replies = map[question.Talk]talkReply{
	question.Greeting: {line: "Hello. Which gel, on which needle or cannula?",
		ways: []Action{way("what can be asked", helpName)}},
	question.Thanks: {line: "You are welcome.",
		ways: []Action{way("what can be asked", helpName)}},
	question.Farewell: {line: "Goodbye.",
		ways: []Action{way("what can be asked", helpName)}},
	question.AsksFlashback: {line: "Blood, on the bench its stand-in, seen in the hub while the plunger is held back.",
		ways: []Action{way("how the numbers are made", methodName)}},
	question.AsksWhoThisIs: {line: "I say how long to hold before flashback shows, from your group's bench tests.",
		ways: []Action{way("what can be asked", helpName)}},
	question.AsksHowToLog: {line: "Write log, the gel, the needle and the seconds, or none and how long you watched.",
		ways: []Action{way("the form", logName)}},
	question.AsksWhatToTest: {line: "The most useful tests are of what the group stocks and has not tested.",
		ways: []Action{way("what is worth a test", untestedName)}},
	question.AsksHowToTest: {line: "Put a nearly empty syringe aside with a clean needle; " +
		"the run sheet then says how to test it.",
		ways: []Action{way("the run sheet", benchName), way("what is worth a test", untestedName)}, bears: true},
	question.AsksNewGel: {line: "A trainer puts a gel on the list. Then say that you stock it, to have it tested.",
		ways: []Action{way("the gels", productsName), way("note what you stock", stockName)}},
	question.AsksToChangeATest: {line: "Your tests are listed with their numbers. " +
		"Then write for example: correct 27: 0.5 s.",
		ways: []Action{way("your part of the log", historyName)}},
	question.AsksOwnSheet: {line: "Each combination you stock is on your sheet, with its hold.",
		ways: []Action{way("your sheet", mineName)}},
	question.AsksWhatWasTested: {line: "What the group has tested is a picture: gels by needles and cannulas.",
		ways: []Action{way("the coverage", coverageName)}},
	question.AsksNews: {line: "What was tested since the last weekly prompt, and what changed by it:",
		ways: []Action{way("the news", newsName)}},
	question.AsksTesters: {line: "The testers are compared, with how sure each difference is.",
		ways: []Action{way("the testers", testersName)}},
	question.AsksOwnData: {line: "You can see what is stored about you, take it away, or have it erased.",
		ways: []Action{way("what is stored", myDataName), way("have it erased", eraseName)}},
	question.AsksNegative: {line: "A negative never shows that the tip is outside a vessel. " +
		"What it is worth is worked out for one combination.",
		ways: []Action{way("what no flashback is worth", negativeName)}, bears: true},
	question.Bought: {line: "Note it as stock, and the weekly prompt asks for the tests that it lacks.",
		ways: []Action{way("note what you stock", stockName)}},
	question.AsksReminder: {line: "Take a test on, and you are reminded of it.",
		ways: []Action{way("what is worth a test", untestedName)}},
	question.AsksNoReminders: {line: "What is sent to you unasked is for you to choose.",
		ways: []Action{way("your choices", choicesName)}},
	question.AsksOwnBox: {line: "Syringes that you put aside are in your bench box.",
		ways: []Action{way("your bench box", boxName)}},
	question.AsksWhoStocks: {line: "Who holds what is for the trainer to see; your own stock is for you.",
		ways: []Action{way("your stock", stockListName), way("the group's, for the trainer", groupStockName)}},
	question.RanOut: {line: "Take it out of your stock, as in /stock remove Orrick Mid. Its tests stay.",
		ways: []Action{way("your stock", stockListName)}},
	question.TakesOn: {line: "Take it on, and you are reminded of it; the others see that it is yours.",
		ways: []Action{way("what is worth a test", untestedName)}},
	question.AsksOwnLog: {line: "Your part of the log has each of your tests with its number.",
		ways: []Action{way("your part of the log", historyName), way("as a file", exportName)}},
	question.TellsBlocked: {line: "Nothing shows through a blocked needle: that is no test of the set-up. " +
		"Test again with a new one.",
		ways: []Action{way("your part of the log", historyName)}, bears: true},
	question.AsksLargerPull: {line: "A larger pull sucks harder, up to a point. " +
		"Name it with the question, as in pull 0.2 mL.",
		ways: []Action{way("why one is slow or fast", whyName)}, bears: true},
	question.AsksWhyNoHold: {line: "A hold needs enough tests at that pull that showed in time, " +
		"and an estimate that is sure of it; the answer's first line says what is missing.",
		ways: []Action{way("how the numbers are made", methodName)}, bears: true},
	question.AsksHowSure: {line: "Each answer says what it rests on: how many tests, by how many, " +
		"and how far the estimate may be out.",
		ways: []Action{way("how the numbers are made", methodName)}, bears: true},
	question.AsksWhatMatters: {line: "In the model the gel, bore, length, pull and gas in the syringe set the pace; " +
		"the needle is primed.",
		ways:  []Action{way("how the numbers are made", methodName), way("why one is slow or fast", whyName)},
		bears: true},
	question.AsksWhether: {line: "That is for your training, the product's instructions and local protocol.",
		ways: []Action{way("what no flashback is worth", negativeName)}, bears: true},
	question.Complication: {line: "That is for your local protocol and a prescriber; " +
		"I only know what the group timed on the bench.",
		bears: true},
	question.AsksAdvice: {line: "That is for your training and the product's instructions; " +
		"I only know what the group timed on the bench.",
		ways: []Action{way("what can be asked", helpName)}},
}

// talk is the reply to talk of a kind, nil for none.
func talk(kind question.Talk) *Card {
	r, said := replies[kind]
	if !said {
		return nil
	}
	card := short(r.line, r.ways...)
	card.Bare = !r.bears
	return card
}

// talkOf is the reply to talk after a question about a combination, which the reply offers to take on.
func talkOf(kind question.Talk, last turn) *Card {
	card := talk(kind)
	if kind == question.TakesOn && last.combination.Product.ID != 0 {
		card.Actions = append([]Action{{Label: "I'll test " + stockWords(last.combination),
			Request: about(takeName, last.combination)}}, card.Actions...)
	}
	return card
}
