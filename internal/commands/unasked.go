package commands

import "holdbench/internal/trade"

// Unasked is a Card as it may leave that answers nobody's question: with the
// caveats in full.
func Unasked(card Card, on Bearing) Card { return complete(on, card).InFull() }

// ShortName is a combination as it is called in a list.
func ShortName(c trade.Combination) string { return stockWords(c) }

// takeOnPick is a list to take one of some combinations on from.
func takeOnPick(all []trade.Combination) Pick {
	list := Pick{Label: "Take one on", Request: Request{Command: takeName}}
	for _, c := range all {
		list.Items = append(list.Items, Item{Label: stockWords(c), Value: pin(c)})
	}
	return list
}

// NewsAction offers what was learned of late, all of it.
func NewsAction() Action {
	return Action{Label: "what was learned", Request: Request{Command: newsName}}
}

// LogAction offers to log a test of a combination.
func LogAction(c trade.Combination) Action {
	return Action{Label: "log a test of " + stockWords(c), Request: about(logName, c), Tap: true}
}

// GiveUpAction offers to give up a combination that was taken on.
func GiveUpAction(c trade.Combination) Action {
	return Action{Label: "give up " + stockWords(c), Request: about(giveUpName, c)}
}

// HoldAction offers to ask about a combination.
func HoldAction(c trade.Combination) Action {
	return Action{Label: "the hold of " + stockWords(c), Request: about(holdName, c), Tap: true}
}

// BenchActions are what one may want to do with what waits in the box.
func BenchActions() []Action {
	return []Action{{Label: "the run sheet", Request: Request{Command: benchName}, Tap: true},
		{Label: "what waits", Request: Request{Command: boxName}}}
}

// UntestedAction offers the whole list of what is worth a test.
func UntestedAction() Action {
	return Action{Label: "all that is worth a test", Request: Request{Command: untestedName}}
}

// MethodAction offers to read how answers are made.
func MethodAction() Action {
	return Action{Label: "how holds are advised", Request: Request{Command: methodName}}
}

// ChoicesAction offers to change what one has agreed to.
func ChoicesAction() Action {
	return Action{Label: "what you agree to", Request: Request{Command: choicesName}}
}
