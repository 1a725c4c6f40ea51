package question

import "holdbench/internal/trade"

// Outcome says what became of a text.
type Outcome string

// The three outcomes.
const (
	One     Outcome = "one"     // the text states exactly one combination
	Choose  Outcome = "choose"  // something is open: Choices say what it could be
	Unclear Outcome = "unclear" // there is nothing to choose from: Problem and Hint say why
)

// Choice is one way to complete a question. Along, read with Stated, gives One, or a Choose that leaves less open.
type Choice struct {
	Stated Stated // what is settled once this is picked
	Along  string // the text to read with it, as typed; "" for none
	Label  string // as the trade writes it: "Orrick Mid, 27G 13 mm needle"
}

// Reading is what was understood. An instrument or syringe with ID 0 is on no list.
type Reading struct {
	Outcome    Outcome
	Product    trade.Product    // set when Outcome is One
	Instrument trade.Instrument // set when Outcome is One
	Syringe    trade.Syringe    // set when Outcome is One
	WallSaid   bool             // the text names the wall class
	BySeconds  float64          // the hold that the text names, s; 0 for none
	PullML     float64          // the pull that the text names, mL; 0 for none
	Rest       []string         // words and numbers that were not understood, as typed
	Choices    []Choice         // at most MaxChoices, set when Outcome is Choose
	Problem    string           // one sentence, set unless Outcome is One
	Hint       string           // what to do about it, set unless Outcome is One
}

// Combination is the one that was stated, with the defaults of its syringe filled in.
func (r Reading) Combination() trade.Combination {
	return trade.Combination{Product: r.Product, Instrument: r.Instrument, Syringe: r.Syringe.Filled()}
}

// Limits of a question. A longer text is Unclear: what is cut off could have a "not" in it.
const (
	MaxBytes   = 4000 // a chat message
	MaxChoices = 25   // what a pick list on a phone holds
	maxTokens  = 400  // keeps the time bounded whatever the text
)

// Read says which combination a text names, whatever else it says; Rest has the words that were not understood. It
// takes time in proportion to the text, never fails and never panics. Many goroutines may read with one Index.
func (ix *Index) Read(text string) Reading { return ix.ReadBeside(text, Stated{}) }

// ReadBeside is Read for a text beside which something is stated.
func (ix *Index) ReadBeside(text string, stated Stated) Reading {
	return ix.read(text, stated, (*scan).readMeasures)
}
