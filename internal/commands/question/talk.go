package question

import (
	"regexp"
	"strings"

	"holdbench/internal/wordlist"
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

	// These have a command of their own.
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
	AsksNoReminders   Talk = "no reminders"
	AsksOwnBox        Talk = "own box"
	AsksOwnLog        Talk = "own log"
	AsksWhoStocks     Talk = "who stocks"
	RanOut            Talk = "ran out"
	TakesOn           Talk = "to take on"
	TellsBlocked      Talk = "a blocked needle"
	AsksLargerPull    Talk = "a larger pull"
	AsksWhyNoHold     Talk = "why no hold"
	AsksHowSure       Talk = "how sure"
	AsksWhatMatters   Talk = "what matters"

	AsksWhether  Talk = "whether to aspirate" // not for this tool to say
	Complication Talk = "complication"        // after an injection: not for this tool to treat
)

// kindOfTalk is a kind of talk with the pattern of its messages.
type kindOfTalk struct {
	kind    Talk
	pattern *regexp.Regexp
}

// talks are the kinds in the order of the file, in which they are tried.
var talks = readTalks()

func readTalks() (all []kindOfTalk) {
	for name := range wordlist.Lines(wordText()) {
		kind, is := strings.CutPrefix(name, "talk ")
		if is && (len(all) == 0 || all[len(all)-1].kind != Talk(kind)) {
			all = append(all, kindOfTalk{Talk(kind), pattern(name)})
		}
	}
	return all
}

// pattern is the pattern in a list, whose lines are joined as they are.
func pattern(name string) *regexp.Regexp {
	return regexp.MustCompile(strings.ReplaceAll(lists.Of(name), "\n", ""))
}

var meaningPattern, resultPattern, opensAsking = pattern("line what a word means"), pattern("line a result"),
	pattern("line opens asking")

// ofTests are the words with which "who has …" asks for tests, not for stock.
var ofTests = pattern("line of tests")

var politeness, toLog, comparing, leave, asking = pattern("line politeness"), pattern("line to log"),
	pattern("line compares"), pattern("line asks leave"), pattern("line asks")

// negative finds a pull that drew no blood, against a word such as "versus" or "all needles".
var negative, against = pattern("line a negative"), pattern("line against")

// AsksMeaning returns the words whose meaning a message asks for, in lower case; "" if it asks for none.
func AsksMeaning(text string) string {
	if m := meaningPattern.FindStringSubmatch(plainTalk(text)); m != nil {
		return m[1]
	}
	return ""
}

// ReadTalk says what kind of talk a message is, NoTalk for any other message. A request for permission to inject is
// talk, too, whatever else the message says.
func ReadTalk(text string) Talk {
	plain := plainTalk(text)
	for _, t := range talks {
		if t.pattern.MatchString(plain) && !(t.kind == Bought && Asks(text)) &&
			!(t.kind == AsksWhoStocks && ofTests.MatchString(plain)) {
			return t.kind
		}
	}
	if leave.MatchString(plain) {
		if negative.MatchString(plain) {
			return AsksNegative
		}
		return AsksAdvice
	}
	return NoTalk
}

// plainTalk is a message in lower case without the marks at its end and the polite words at its beginning.
func plainTalk(text string) string {
	plain := strings.NewReplacer(",", "", "!", "").Replace(plainLine(text))
	plain = strings.Trim(strings.Join(strings.Fields(plain), " "), " .?:)(")
	plain = strings.NewReplacer("whats ", "what is ", "what's ", "what is ").Replace(plain)
	if m := politeness.FindStringSubmatch(plain); m != nil {
		return m[1]
	}
	return plain
}

// plainLine is a line in lower case and plain characters.
func plainLine(text string) string { return strings.ToLower(fold(text)) }

// TellsResult reports whether a text tells how a bench test ended and asks nothing: "got 5.2 s on orrick mid 27g 13mm",
// "nothing in 30 with the cannula", "please log 5.2 for it".
func TellsResult(text string) bool {
	plain := plainLine(text)
	return toLog.MatchString(plain) && !strings.HasPrefix(plain, "how") ||
		resultPattern.MatchString(plain) && !opensAsking.MatchString(plain) && !asking.MatchString(plain)
}

// Compares reports whether a text sets things side by side: "27G vs 30G".
func Compares(text string) bool { return comparing.MatchString(plainLine(text)) }

// SetsAgainst reports whether a text sets things against each other, "27G vs 30G", or one against all that go with it,
// "30G 13 mm, all gels".
func SetsAgainst(text string) bool { return against.MatchString(plainLine(text)) }

// AsksLeave reports whether a text asks for permission to inject, which no answer gives.
func AsksLeave(text string) bool { return leave.MatchString(plainLine(text)) }

// Asks reports whether a text asks something, whatever word it begins with: "take tamsel soft, 27g 13mm, how many
// seconds?", "log orrick mid 30g 13mm 7.13 s?". A text that asks changes nothing.
func Asks(text string) bool { return asking.MatchString(plainLine(text)) }
