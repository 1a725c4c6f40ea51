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
	AsksFlashback  Talk = "what flashback is"
	AsksVerdict    Talk = "what a verdict means" // "what does undecided mean"
	AsksHowToLog   Talk = "how to log"
	AsksWhatToTest Talk = "what to test"
	AsksAdvice     Talk = "advice" // which needle for lips, is it safe: not for this tool to say
	AsksWhoThisIs  Talk = "what this is"
	TakeBack       Talk = "take back"
)

var talks = []struct {
	kind    Talk
	pattern *regexp.Regexp
}{
	{TakeBack, regexp.MustCompile(`^(?:please )?(?:undo|take (?:that|it|this|my last(?: test)?|the last(?: one` +
		`| test)?) back|take back (?:that|it|the last(?: one| test)?|my last(?: test)?)|withdraw (?:last|that` +
		`|it|(?:my|the) last(?: one| test)?)|scrap that|delete (?:that|(?:my|the) last(?: one| test)?)` +
		`|remove that|cancel (?:that|(?:my|the) last(?: one| test)?)|that was wrong|undo (?:that|it|last|(?:my` +
		`|the) last(?: one| test)?))(?: please)?$`)},
	{AsksWhoThisIs, regexp.MustCompile(`^(?:who|what) are you(?: \w+)?$|^are you (?:a )?(?:bot|human|real|there|ai)$` +
		`|^what (?:do|can) (?:you|this bot|it|i) (?:do|ask)(?: here| you| for me)*$` +
		`|^what is (?:this|holdbench|this bot|it)(?: for)?$` +
		`|^how (?:do|can) i use (?:this|you|it|this bot)$`)},
	{AsksHowToLog, regexp.MustCompile(`^(?:how (?:do|can|should|would) (?:i|we|you) (?:log|enter|record|add` +
		`|submit|report|type in)|how to (?:log|enter|record|add)|where do i (?:log|enter|record)` +
		`|can i log (?:a |my )?tests?|what do i type to log|how does logging work).{0,40}$`)},
	{AsksWhatToTest, regexp.MustCompile(`^(?:what (?:should|can|shall|do|could) (?:i|we) test|what (?:needs` +
		`|to) (?:testing|tests?|be tested)|what is (?:missing|untested|needed|not tested)|what(?:'s` +
		`| is) worth testing|which (?:tests?|ones?) (?:are|is) (?:missing|needed|untested)` +
		`|what next on the bench|anything to test|what(?: still)? needs (?:a test|tests|testing)` +
		`|what should be tested).{0,30}$`)},
	{AsksFlashback, regexp.MustCompile(`^(?:(?:so )?(?:what(?:'s| is| does| do you mean by| counts as)|define` +
		`|explain|meaning of) (?:a |the |an? )?(?:flash ?backs?|aspiration|aspirating|hold|pull|a hold time` +
		`|hold time)(?: mean| exactly| then)?)$`)},
	{AsksVerdict, regexp.MustCompile(`^(?:what (?:does|do|is|are)|meaning of` +
		`|explain) (?:the )?["“']?(?:undecided|not settled|settled|too slow|shows in time|shows sometimes` +
		`|not expected|untested|tested|verdicts?|shares?|ceiling|best case|estimate` +
		`|calculated)["”']?(?: (?:mean|means|about|here))*$`)},
	{AsksAdvice, regexp.MustCompile(`^(?:(?:which|what) (?:needle|cannula|gel|filler|product|gauge|size` +
		`|syringe)s? (?:is |are )?(?:best |better |safest |good |right |to use |should i use |do i use ` +
		`|would you use )*(?:for|in|on|around|near)\b.*|(?:is|are) (?:it|this|that|they|aspirati\w+|cannulas?` +
		`|needles?|it all)(?: really)? safe\b.*|am i safe\b.*|is (?:a )?(?:needle|cannula|longer hold` +
		`|it) safer\b.*|safe (?:for|to)\b.*|can i (?:inject|use (?:a|this))\b.*|should i (?:inject|aspirate` +
		`|use)\b.*|(?:can|should|may|shall) (?:i|we) (?:just |now |still )?(?:go ahead|proceed|carry on|continue)\b.*` +
		`|(?:is )?(?:it )?(?:ok|okay|good|fine) to (?:inject|go|go ahead|proceed)\b.*` +
		`|(?:is|are) [\w ]{1,30} (?:safe|dangerous)(?: \w+)?` +
		`|(?:whats|what is|which is)?(?: the)? ?(?:best|safest) (?:needle|cannula|gel|filler|product|way|technique)s?\b.*` +
		`|how much (?:do i|should i|to) (?:inject|use)\b.*` +
		`|where (?:do|should) i inject\b.*)$`)},
	{Thanks, regexp.MustCompile(`^(?:ok |great |perfect |brilliant |lovely )*(?:thanks?|thank you|thankyou|thx` +
		`|ty|tx|cheers|ta|much appreciated|appreciate it|nice one|many thanks|danke|merci|great|perfect` +
		`|brilliant|lovely|got it|ok|okay|good bot|super|cool)(?: (?:a lot|so much|very much|you|all|everyone` +
		`|mate|guys|bot|again|for (?:that|this|the help)|a bunch|loads|that helps))*$`)},
	{Greeting, regexp.MustCompile(`^(?:hi+|hello+|hey+|hiya|morning|good (?:morning|afternoon|evening|day)` +
		`|evening|afternoon|yo|hallo|greetings|howdy|hi there|hey there|hello there|bonjour|ciao)(?: (?:all` +
		`|everyone|everybody|there|bot|team|folks|guys|ladies|you|how are you|how are things|again|x))*$`)},
}

// ReadTalk says what kind of talk a message is, NoTalk for whatever else.
func ReadTalk(text string) Talk {
	plain := plainTalk(text)
	for _, t := range talks {
		if t.pattern.MatchString(plain) {
			return t.kind
		}
	}
	return NoTalk
}

// plainTalk is a message in lower case without marks at its end, and without what
// begins it out of politeness.
func plainTalk(text string) string {
	plain := strings.ToLower(strings.ReplaceAll(strings.ReplaceAll(fold(text), ",", ""), "!", ""))
	plain = strings.Trim(strings.Join(strings.Fields(plain), " "), " .?:)(")
	plain = strings.ReplaceAll(strings.ReplaceAll(plain, "whats ", "what is "), "what's ", "what is ")
	for _, lead := range []string{"hi ", "hey ", "hello ", "please ", "sorry ", "quick question "} {
		if rest := strings.TrimPrefix(plain, lead); rest != plain && strings.Contains(rest, " ") && (strings.HasPrefix(rest, "what") || strings.HasPrefix(rest, "how") || strings.HasPrefix(rest, "which") || strings.HasPrefix(rest, "is ")) {
			return rest
		}
	}
	return plain
}

// asking are the ways in which a text that begins with a command's word shows that it
// asks.
var asking = regexp.MustCompile(`\?\s*$|^\w+ says\b|\bhow (?:long|many|much|soon)\b|\bwhat (?:for|about|is` +
	`|does)\b|\bwhich\b|\benough\b|\bhold time\b|\bis (?:it|that)\b`)

// Asks reports whether a text asks for something, whatever word it begins with: "take
// tamsel soft, 27g 13mm, how many seconds?", "log orrick mid 30g 13mm 7.13 s?". What
// asks changes nothing.
func Asks(text string) bool { return asking.MatchString(strings.ToLower(fold(text))) }
