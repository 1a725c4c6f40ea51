// Package question turns what a busy person types into one combination of gel,
// needle or cannula and syringe, or into a question back, or into a plain
// "cannot read that". It knows words and the nouns of package trade, and nothing
// else: no store, no clock. An instrument or syringe with ID 0 is on no list.
//
// The rule above all others: a gel or a needle is answered only when the text
// says it. Whatever could be read in two ways is handed back as choices, and a
// name that is on nobody's list is never bent into one that is.
//
// The way through the package, one file per noun:
//
//	markup, fold, token: characters to tokens
//	number, unit, quantityunit, spread: tokens to amounts with units, and what is none
//	gauge, length, pair, volume, pull, seconds, straysize, wall, kind, syringe, dilution: what they mean
//	everyday, index, spelling, mention, family: which words name a product
//	ordinary, doubt, debris, negation: whether they do so here
//	product, instrument(options), syringechoice, decide, choice, wording: one combination, or a question back
//	lists: the words and phrases that all of these look for; words/ has them
package question

import "holdbench/internal/trade"

// Outcome says what became of a text.
type Outcome string

// The three outcomes.
const (
	One     Outcome = "one"     // exactly one combination was stated
	Choose  Outcome = "choose"  // something is open: Choices say what it could be
	Unclear Outcome = "unclear" // nothing to choose from: Problem and Hint say why
)

// Choice is one way to complete a question. Along, read with what is stated, gives One,
// or a Choose with less left open.
type Choice struct {
	Stated Stated // what is settled once this is picked
	Along  string // what is read with that: the text as typed, "" for nothing
	Label  string // as the trade writes it: "Orrick Mid, 27G 13 mm needle"
}

// Reading is what was understood.
type Reading struct {
	Outcome    Outcome
	Product    trade.Product    // set when Outcome is One
	Instrument trade.Instrument // set when Outcome is One
	Syringe    trade.Syringe    // set when Outcome is One
	WallSaid   bool             // the asker named the wall class
	BySeconds  float64          // the hold the asker had in mind, s; 0: none named
	PullML     float64          // the pull the asker had in mind, mL; 0: none named
	Rest       []string         // what was typed and nothing was made of: words with a meaning, numbers
	Choices    []Choice         // at most MaxChoices, set when Outcome is Choose
	Problem    string           // one sentence, set unless Outcome is One
	Hint       string           // what to do about it, set unless Outcome is One
}

// Combination is the one that was stated. What its syringe leaves out is filled in.
func (r Reading) Combination() trade.Combination {
	return trade.Combination{Product: r.Product, Instrument: r.Instrument, Syringe: r.Syringe.Filled()}
}

// Limits of a question. Texts beyond them are Unclear: cutting one short could
// cut off the "not" that turns it round.
const (
	MaxBytes   = 4000 // a chat message
	MaxChoices = 25   // what a pick list on a phone holds
	maxTokens  = 400  // keeps the time bounded whatever the text
)

// Read says which combination a text names, whatever else it says: what nothing was made
// of is left in Rest. It never fails and never panics; it takes time in proportion to the
// text, which is cut off by refusing long ones. An Index may be read by many goroutines
// at once.
func (ix *Index) Read(text string) Reading { return ix.ReadBeside(text, Stated{}) }

// ReadBeside reads a text that says other things too, together with what is stated beside it.
func (ix *Index) ReadBeside(text string, stated Stated) Reading {
	return ix.read(text, stated, (*scan).readMeasures)
}
