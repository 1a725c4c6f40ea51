package say

import (
	"regexp"
	"strings"
)

// meanings says what the words on cards mean. Those of the states are in Standings.
var meanings = map[string]string{
	"hold":        "How long the plunger is held back. One is advised by which 9 in 10 bench tests show.",
	"aspiration":  "Drawing the plunger back to see whether blood shows. This tool times it on the bench, no more.",
	"ceiling":     "The longest hold that the group calls usable. No longer one is advised.",
	"target":      "The share of tests that a hold must cover, 9 in 10 unless the group has set another.",
	"share":       "How many tests show by a time. 9 in 10: one in ten shows later or never.",
	"estimate":    "What the group's tests and a flow model say together. It is no test.",
	"calculated":  "From the flow model and the gel's class, without a test. It is no test.",
	"pull":        "How far the plunger is drawn back, in mL. A hold counts for the pull that was tested.",
	"in doubt":    "A time or a none that does not fit the others. It counts in full against a hold.",
	"verdict":     "What the tests say of a combination: a hold, no hold and why, or untested.",
	"best case":   "The bench has no tissue at the tip. With tissue less shows, never more.",
	"wall class":  "How thick a needle's wall is: a thinner wall has a wider bore, and shows sooner.",
	"no hold":     "No time up to the ceiling can be advised. The first line says why.",
	"combination": "A gel, a needle or cannula, and a syringe. A hold counts for that one alone.",
	"flashback":   "Blood, on the bench its stand-in, seen in the hub while the plunger is held back.",
}

// alsoCalled has other words for what meanings and Standings explain.
var alsoCalled = map[string]string{
	"undecided": "still open", "not decided": "still open", "not settled": "still open", "open": "still open",
	"not expected": "waiting does not help", "shows sometimes": "only some show",
	"short of the target": "short of a hold",
	"shares":              "share", "hold time": "hold", "aspirating": "aspiration", "verdicts": "verdict",
	"mistyped": "in doubt", "looks mistyped": "in doubt", "doubtful": "in doubt", "estimated": "estimate",
	"calculation": "calculated", "doesn't fit": "in doubt", "wall": "wall class",
}

// odds finds a share as cards write it: "more than 19 in 20".
var odds = regexp.MustCompile(`\d+ in \d+$`)

// Meaning says what a word on a card means, "" for a word that is on none.
func Meaning(word string) string {
	if odds.MatchString(word) {
		return "As in 9 in 10: of ten bench tests nine show flashback by then, the rest later or never."
	}
	if usual, is := alsoCalled[word]; is {
		word = usual
	}
	if text, is := meanings[word]; is {
		return text
	}
	for _, s := range Standings() {
		if word == s.Short {
			return strings.ToUpper(word[:1]) + word[1:] + ": " + s.When
		}
	}
	return ""
}
