package commands

import (
	"math"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
)

// The states of an answer to a question about a hold.
const (
	stateTested   = "tested"
	stateUntested = "untested"
	stateChoose   = "choose"
	stateUnclear  = "unclear"
)

// answered is a hold answer for a program. Shares run from 0 to 1; a time of null is never.
type answered struct {
	State    string       `json:"state"`
	Product  string       `json:"product"`
	Kind     string       `json:"kind"`
	Gauge    int          `json:"gauge"`
	LengthMM float64      `json:"length_mm"`
	Syringe  string       `json:"syringe"`
	Choices  []string     `json:"choices"`
	Tests    testFigures  `json:"tests"`
	Evidence leastFigures `json:"evidence"`
	PullML   float64      `json:"pull_ml"`
	Wall     string       `json:"wall"` // "" where it is not on record
	Verdict  string       `json:"verdict"`
	HoldS    *int         `json:"hold_s"`  // null where it is withheld
	NoHold   *calc.Reason `json:"no_hold"` // why it is withheld, null where it is not
	Share    shareFigures `json:"share"`
	Estimate timeFigures  `json:"estimate_s"`
	Spread   string       `json:"spread"` // where the estimate's spread is from: defaults, your group's
	Nearest  []neighbour  `json:"nearest"`
	Warnings []string     `json:"warnings"`
	Caveats  []string     `json:"caveats"`
}

// leastFigures are how many tests at the pull count for a hold and how many members made them, and how many of both the
// group requires.
type leastFigures struct {
	Tests         int `json:"tests"`
	Members       int `json:"members"`
	NeededTests   int `json:"needed_tests"`
	NeededMembers int `json:"needed_members"`
}

type testFigures struct {
	Run            int      `json:"run"`
	ShownByCeiling int      `json:"shown_by_ceiling"`
	None           int      `json:"none"`
	Testers        int      `json:"testers"`
	LongestS       *float64 `json:"longest_s"` // null where none has shown
}

type shareFigures struct {
	ByS  float64 `json:"by_s"`
	Mean float64 `json:"mean"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

func shareOf(s calc.Share) shareFigures {
	return shareFigures{ByS: float64(s.By), Mean: round4(s.Mean), Low: round4(s.Low), High: round4(s.High)}
}

// timeFigures are the times by which 1 in 10, half and 9 in 10 have shown.
type timeFigures struct {
	Low    *float64 `json:"low"`
	Median *float64 `json:"median"`
	High   *float64 `json:"high"`
}

type neighbour struct {
	Product    string `json:"product"`
	Instrument string `json:"instrument"`
	Syringe    string `json:"syringe"`
	Tests      int    `json:"tests"`
	Verdict    string `json:"verdict"`
	Why        string `json:"why"`
}

// askedBack is a question back, or says that the question cannot be read.
type askedBack struct {
	State   string   `json:"state"`
	Product string   `json:"product,omitempty"`
	Choices []string `json:"choices"`
	Caveats []string `json:"caveats"`
}

// of is a question back with the choices of its Card.
func (f askedBack) of(c Card) askedBack {
	f.State, f.Choices = stateUnclear, []string{}
	for _, choice := range c.Choices {
		f.State, f.Choices = stateChoose, append(f.Choices, choice.Label)
	}
	return f
}

func (f answered) with(warnings, caveats []string) figures {
	f.Warnings, f.Caveats = append([]string{}, warnings...), caveats
	return f
}

func (f askedBack) with(_, caveats []string) figures {
	f.Caveats = caveats
	return f
}

// holdFigures are the figures of an answer. The share is by the time asked, else by the ceiling.
func holdFigures(e *knowledge.Evidence, o outlook) answered {
	instrument := e.Combination.Instrument
	f := answered{
		State: stateUntested, Product: e.Combination.Product.Name,
		Kind: string(instrument.Kind), Gauge: instrument.Gauge, LengthMM: instrument.LengthMM,
		Syringe: e.Combination.Syringe.Name, Choices: []string{},
		Tests: testFigures{Run: e.Counts.Run, ShownByCeiling: e.Counts.ShownByCeiling, None: e.Counts.None,
			Testers: e.Counts.Testers},
		Evidence: leastFigures{e.Advice.Tests, e.Advice.Members, e.Rule.LeastTests, e.Rule.LeastMembers},
		PullML:   round3(e.Pull.Millilitres()), Wall: string(instrument.Wall), HoldS: holdSeconds(e),
		Verdict: string(e.Verdict), Nearest: []neighbour{}, Spread: spreadOrigin(e.Spread),
	}
	if e.Counts.ShownByCeiling+e.Counts.ShownLater > 0 {
		f.Tests.LongestS = &e.Counts.Longest
	}
	if e.Tested {
		f.State = stateTested
	}
	if e.Advice.Withheld != "" {
		f.NoHold = &e.Advice.Withheld
	}
	f.Share = shareOf(o.byAsked)
	f.Estimate = timeFigures{Low: timeOrNull(o.few), Median: timeOrNull(o.half), High: timeOrNull(o.most)}
	for _, n := range e.Nearest {
		f.Nearest = append(f.Nearest, neighbour{
			Product: n.Combination.Product.Name, Instrument: n.Combination.Instrument.Name(),
			Syringe: n.Combination.Syringe.Name,
			Tests:   n.Tests, Verdict: string(n.State), Why: n.Why,
		})
	}
	return f
}

func timeOrNull(s float64) *float64 {
	if math.IsInf(s, 1) {
		return nil
	}
	v := round3(s)
	return &v
}

func round3(v float64) float64 { return math.Round(v*1e3) / 1e3 }
func round4(v float64) float64 { return math.Round(v*1e4) / 1e4 }
