package question

import (
	"regexp"
	"strings"
)

// Talk is a kind of message that is no question about a hold.
type Talk string

// The kinds of talk.
const (
	NoTalk         Talk = ""
	Greeting       Talk = "greeting"
	Thanks         Talk = "thanks"
	Farewell       Talk = "farewell"
	AsksFlashback  Talk = "what flashback is"
	AsksHowToLog   Talk = "how to log"
	AsksWhatToTest Talk = "what to test"
	AsksAdvice     Talk = "advice" // which needle for lips, is it safe: not for this tool to say
	AsksWhoThisIs  Talk = "what this is"
	TakeBack       Talk = "take back"

	// What is asked for by what it is about, and has a command of its own.
	AsksOwnSheet      Talk = "own sheet"
	AsksWhatWasTested Talk = "what was tested"
	AsksNews          Talk = "news"
	AsksTesters       Talk = "testers"
	AsksHowToTest     Talk = "how to test"
	AsksNewGel        Talk = "a new gel"
	AsksOwnData       Talk = "own data"
	AsksToChangeATest Talk = "change a test"
	AsksNegative      Talk = "worth of a negative"
	Bought            Talk = "bought"
	AsksReminder      Talk = "remind"
	AsksOwnBox        Talk = "own box"
	AsksOwnLog        Talk = "own log"
	AsksLargerPull    Talk = "a larger pull"
	AsksWhyNoHold     Talk = "why no hold"
	AsksHowSure       Talk = "how sure"
	AsksWhatMatters   Talk = "what matters"

	AsksWhether  Talk = "whether to aspirate" // not for this tool to say
	Complication Talk = "complication"        // after an injection: not for this tool to treat
)

// talks are the kinds in the order in which they are tried.
var talks = []Talk{TakeBack, AsksWhoThisIs, AsksNegative, AsksNewGel, AsksHowToTest, AsksHowToLog, AsksWhatToTest,
	AsksFlashback, AsksLargerPull, AsksWhyNoHold, AsksHowSure, AsksWhatMatters, AsksWhether, AsksAdvice, Thanks, Greeting,
	Farewell, Bought, AsksReminder, AsksOwnBox, AsksOwnLog, AsksOwnSheet, AsksWhatWasTested, AsksNews, AsksTesters, AsksOwnData, AsksToChangeATest, Complication}

var talkPatterns = readTalks()

func readTalks() map[Talk]*regexp.Regexp {
	all := make(map[Talk]*regexp.Regexp)
	for _, kind := range talks {
		all[kind] = readTalk(string(kind))
	}
	return all
}

func readTalk(kind string) *regexp.Regexp {
	pattern := ""
	for line := range strings.Lines(lists["talk "+kind]) {
		pattern += strings.TrimSpace(line)
	}
	return regexp.MustCompile(pattern)
}

var meaningPattern = readTalk("what a word means")

// AsksMeaning returns the word or words whose meaning a message asks for, in lower case;
// "" where it asks for none.
func AsksMeaning(text string) string {
	if m := meaningPattern.FindStringSubmatch(plainTalk(text)); m != nil {
		return m[1]
	}
	return ""
}

// ReadTalk says what kind of talk a message is, NoTalk for whatever else.
func ReadTalk(text string) Talk {
	plain := plainTalk(text)
	for _, kind := range talks {
		if talkPatterns[kind].MatchString(plain) && !(kind == Bought && Asks(text)) {
			return kind
		}
	}
	return NoTalk
}

// asksOn is how a message goes on after its greeting where it asks.
var asksOn = regexp.MustCompile(`^(?:what|how|which|is)\b.* `)

// plainTalk is a message in lower case without marks at its end, and without what
// begins it out of politeness.
func plainTalk(text string) string {
	plain := strings.ToLower(strings.ReplaceAll(strings.ReplaceAll(fold(text), ",", ""), "!", ""))
	plain = strings.Trim(strings.Join(strings.Fields(plain), " "), " .?:)(")
	plain = strings.ReplaceAll(strings.ReplaceAll(plain, "whats ", "what is "), "what's ", "what is ")
	for _, lead := range []string{"hi ", "hey ", "hello ", "please ", "sorry ", "so ", "and ", "ok so ", "quick question "} {
		if rest, is := strings.CutPrefix(plain, lead); is && asksOn.MatchString(rest) {
			return rest
		}
	}
	return plain
}

var resultPattern = readTalk("a result")

// opensAsking are the words that a line begins with which asks for something.
var opensAsking = regexp.MustCompile(`^(?:so |and |hi |hey |ok )?(?:is|are|was|will|would|does|do|did|can|could|should|shall|what|when|why|` +
	`hold|how|who|which|has|have (?:we|you)|any(?:one|body)?|if|after|compare)\b`)

// toLog is a text that wants something logged and does not begin with the word.
var toLog = regexp.MustCompile(`\blog(?: it| this| that| pls| please| thanks)*[ .!]*$|^(?:please|pls|plz|ok|hi|hey|can you|could you)\b.{0,12}\blog\b`)

// TellsResult reports whether a text tells how a bench test ended and asks for nothing:
// "got 5.2 s on orrick mid 27g 13mm", "nothing in 30 with the cannula", "please log 5.2 for it".
func TellsResult(text string) bool {
	plain := strings.ToLower(fold(text))
	return toLog.MatchString(plain) && !strings.HasPrefix(plain, "how") || resultPattern.MatchString(plain) && !opensAsking.MatchString(plain) && !asking.MatchString(plain)
}

var comparing = regexp.MustCompile(`\b(?:vs?|versus|compared?|comparing|comparison|or|between|difference|better|` +
	`faster|quicker|slower|fastest|quickest|slowest|shortest|longest|(?:which|what) (?:gels?|needles?|cannulas?|products?|can i))\b`)

// Compares reports whether a text sets things side by side: "27G vs 30G".
func Compares(text string) bool { return comparing.MatchString(strings.ToLower(fold(text))) }

var leave = regexp.MustCompile(`\b(?:(?:can|may|should|shall|could|do) (?:i|we) (?:now |then |just )?(?:inject|proceed|go ahead|go on|carry on|continue|start)|` +
	`(?:ok|okay|safe|fine|good|alright|all right|clear) to (?:inject|proceed|go|go ahead|continue|start)|(?:am i|are we) (?:safe|good|ok|clear)|is it safe|(?:can|could|may) (?:i|we) still use|expired|out of date)\b`)

// AsksLeave reports whether a text asks for leave to inject, which no answer gives.
func AsksLeave(text string) bool { return leave.MatchString(strings.ToLower(fold(text))) }

// asking are the ways in which a text that begins with a command's word shows that it
// asks.
var asking = regexp.MustCompile(`\?\s*$|^\w+ says\b|\bhow (?:long|many|much|soon)\b|\bwhat (?:for|about|is` +
	`|does)\b|\bwhich\b|\benough\b|\bhold time\b|\bis (?:it|that)\b`)

// Asks reports whether a text asks for something, whatever word it begins with: "take
// tamsel soft, 27g 13mm, how many seconds?", "log orrick mid 30g 13mm 7.13 s?". What
// asks changes nothing.
func Asks(text string) bool { return asking.MatchString(strings.ToLower(fold(text))) }
