package urgent

import "slices"

// What makes a report of blood or flashback one of a person and of now.
var (
	askGoOn = []string{"now what", "what now", "what do", "what should", "what next", "can i", "could i", "may i",
		"should i", "shall i", "do i", "am i",
		"carry on", "carry on injecting", "keep going", "go on", "continue", "go ahead", "proceed", "inject",
		"injecting", "injected", "safe to", "ok to", "okay to",
		"pull out", "come out", "withdraw", "reposition", "and then", "next step", "next steps", "still ok", "help"}
	inPerson = set(`patient she he her him his hers lip lips cheek nose tip forehead temple glabella chin jaw fold
		nasolabial someone somebody him treating face`)
	onBench = set(`bench milk glycerol glycerine glycerin liquid water saline film video fps stopwatch test tests
		tested testing trial timed log logged logging dye dyed ink demo class lesson model figure figures batch`)
	noBlood = []string{"no blood", "no flashback", "without blood", "without flashback", "never blood",
		"not blood", "any blood", "no visible blood",
		"not any blood", "fake blood", "real blood", "own blood", "human blood", "of blood on the bench",
		"bench blood", "artificial blood", "blood substitute", "blood analogue", "blood pressure", "blood test",
		"blood thinners", "blood thinner", "pig blood", "stage blood"}
	hypothetical = []string{"how long", "how soon", "how many", "how quickly", "how fast", "how often",
		"when does", "when will", "when would", "until", "till", "what is", "what does",
		"does flashback", "does blood", "why does", "why is", "would blood", "before blood", "before flashback",
		"to show", "shows", "would show", "expect", "stand in for", "like blood", "than blood",
		"will blood", "did you", "has anyone", "who", "meaning of", "mean", "means", "thick as blood",
		"instead of blood", "ever seen", "how does", "for blood", "will i", "if there was"}
	bloodReport = []string{"bloody aspirate", "came back bloody", "bled into"}
)

// bloodSeen reports whether the message tells of blood that has been seen, and
// nothing says that it was on the bench.
func (l heard) bloodSeen() bool {
	asks := l.hasAny(askGoOn)
	person := l.count(inPerson) > 0
	report := l.hasAny(bloodReport) || slices.Contains(l.words, "blood") || l.redSeen() || l.positive()
	flashback := slices.Contains(l.words, "flashback")
	switch {
	case l.bare(set("flashback")):
		return true
	case l.hasAny(noBlood) && !l.hasAny([]string{"then blood", "now blood", "but blood", "but now"}):
		return false
	case report && (asks || person && !l.logs):
		return !l.hasAny([]string{"how long", "how soon", "what is", "did you", "has anyone", "instead of"}) ||
			l.hasAny([]string{"can i inject", "what do i do", "now what"})
	case report:
		return !l.logs && l.count(onBench) == 0 && !l.hasAny(hypothetical)
	case flashback && asks:
		return !l.logs && !l.asksOfBench() && l.reportsFlashback()
	case flashback && person:
		return !l.logs && l.count(onBench) == 0 && !l.hasAny(hypothetical) && l.reportsFlashback()
	}
	return false
}

// redSeen reports whether something red is in the hub or comes back. A red hub is a colour code.
func (l heard) redSeen() bool {
	for i, w := range l.words {
		code := i+1 < len(l.words) && set("hub needle cannula one dye food or for").has(l.words[i+1])
		pink := w == "pink" && l.count(set("tinge* went turned gone coming")) > 0
		if !code && (pink || set("red claret").has(w)) &&
			l.count(set("hub syringe barrel back flashback plunger needle cannula")) > 0 {
			return true
		}
	}
	return false
}

// positive reports whether an aspiration is told of as positive.
func (l heard) positive() bool {
	return slices.Contains(l.words, "positive") && (l.count(set("aspirat* inject* back")) > 0 ||
		l.count(inPerson) > 0 && slices.Contains(l.words, "got"))
}

// asksOfBench reports whether a question beside the word flashback is about figures
// or about the tool.
func (l heard) asksOfBench() bool {
	return l.hasAny(hypothetical) || l.hasAny([]string{"how do i log", "what do i log", "do i log",
		"should i log", "can i log", "log it", "count as", "what should i test", "i should expect",
		"can i expect",
		"do i hold", "should i hold", "do i wait", "should i wait", "enough", "if no", "do i need",
		"should i film", "should i pull back", "should i pull more", "do i pull"}) ||
		l.count(onBench) > 0 && !l.hasAny([]string{"inject", "patient", "carry on", "now what"})
}

// reportsFlashback reports whether flashback is told of as seen: it opens the
// message or stands behind a word such as got.
func (l heard) reportsFlashback() bool {
	for i, w := range l.words {
		if w != "flashback" {
			continue
		}
		for j := i - 1; j >= 0 && j >= i-4; j-- {
			if seen.has(l.words[j]) {
				return true
			}
		}
		if i <= 1 || l.words[i-1] == "." {
			return true
		}
		if i+1 < len(l.words) && (l.words[i+1] == "." || happened.has(l.words[i+1])) {
			return true
		}
	}
	return false
}

var (
	seen = set(`got get getting had have having saw see seen seeing is positive immediate instant quick with big
		definite clear`)
	happened = set(`now came came showed appeared straight immediately instantly can what should do seen in on at
		after carry and there`)
)
