package question

import (
	"maps"
	"strings"
)

// The ordinary words. One of them is never a slip of a product's name: "mild" is not "Mid". A word that is not among
// them may be part of an unknown name beside a known one, so a word missing here costs a question back, never a wrong
// answer. The sentence words can continue a sentence behind the name of a gel.
var (
	sentence = list("sentence")
	everyday = both(sentence, list("ordinary"))
)

func both(a, b map[string]bool) map[string]bool {
	all := maps.Clone(a)
	maps.Copy(all, b)
	return all
}

// endings make another form of an ordinary word, each with the ending of the word that it replaces.
var endings = []struct{ end, stem string }{
	{"s", ""}, {"es", ""}, {"ies", "y"}, {"ed", ""}, {"d", ""}, {"ing", ""}, {"ing", "e"}, {"er", ""}, {"r", ""},
	{"ly", ""}, {"y", ""},
}

// isEveryday reports whether w is an ordinary word or a form of one.
func isEveryday(w string) bool { return isFormIn(everyday, w) }

// isOrdinary reports whether w is an ordinary word, or one with two letters
// swapped or one letter doubled: "fro", "teh", "holdd".
func isOrdinary(w string) bool { return isEveryday(w) || isSlipIn(everyday, w) }

// goesOn reports whether w can continue a sentence behind the name of a gel.
func goesOn(w string) bool { return isFormIn(sentence, w) || isSlipIn(sentence, w) }

// isFormIn reports whether w, with or without an ending, is in words.
func isFormIn(words map[string]bool, w string) bool {
	if words[w] {
		return true
	}
	for _, e := range endings {
		stem, ok := strings.CutSuffix(w, e.end)
		if ok && len(stem)+len(e.stem) >= 4 && words[stem+e.stem] {
			return true
		}
	}
	return false
}

// isSlipIn reports whether w with two letters swapped, or one of two equal
// letters left out, is in words.
func isSlipIn(words map[string]bool, w string) bool {
	if len(w) < 3 {
		return false
	}
	buf := []byte(w)
	for i := 0; i+1 < len(buf); i++ {
		if buf[i] == buf[i+1] {
			if words[w[:i]+w[i+1:]] {
				return true
			}
			continue
		}
		buf[i], buf[i+1] = buf[i+1], buf[i]
		if words[string(buf)] {
			return true
		}
		buf[i], buf[i+1] = buf[i+1], buf[i]
	}
	return false
}
