package commands

import "holdbench/internal/trade"

// Unasked completes a Card that answers nobody's question: its caveats are in full.
func Unasked(card Card, on Bearing) Card { return complete(on, card).InFull() }

// ShortName is what a combination is called in a list.
func ShortName(c trade.Combination) string { return stockWords(c) }

// takeOnPick is a list of combinations to take one on from.
func takeOnPick(all []trade.Combination) Pick {
	list := Pick{Label: "Take one on", Request: Request{Command: takeName}}
	for _, c := range all {
		list.Items = append(list.Items, Item{Label: stockWords(c), Value: pin(c)})
	}
	return list
}

// NewsAction offers all that was learned lately.
func NewsAction() Action {
	return way("what was learned", newsName)
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

// BenchActions offer the run sheet and the box.
func BenchActions() []Action {
	return []Action{{Label: "the run sheet", Request: Request{Command: benchName}, Tap: true},
		way("what waits", boxName)}
}

// UntestedAction offers the list of what is worth a test.
func UntestedAction() Action {
	return way("all that is worth a test", untestedName)
}

// MethodAction offers an account of how answers are made.
func MethodAction() Action {
	return way("how holds are advised", methodName)
}

// ChoicesAction offers to change what one has agreed to.
func ChoicesAction() Action {
	return way("what you agree to", choicesName)
}
