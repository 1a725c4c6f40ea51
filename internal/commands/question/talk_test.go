package question

import "testing"

func TestTalkIsHeardAsWhatItIs(t *testing.T) {
	for kind, texts := range map[Talk][]string{
		Greeting: {"hi", "Hello!", "good morning everyone", "morning all", "hey there", "hiya", "good evening"},
		Thanks: {"thanks", "cheers", "thank you so much!", "ta", "thx", "ok thanks", "great, thanks",
			"perfect", "nice one", "thanks a lot"},
		AsksFlashback: {"what is flashback", "what's flashback?", "whats a flashback",
			"what does flashback mean", "define flashback", "what counts as flashback?"},
		AsksHowToLog: {"how do i log a test", "how do I log a test?", "how to log",
			"how can i enter my results", "where do i log a test", "hi, how do i log one?"},
		AsksWhatToTest: {"what should i test", "what should I test next?", "what needs testing",
			"anything to test?", "what is untested", "what can we test today",
			"what have we not tested", "what haven't we tested yet"},
		AsksAdvice: {"which needle for lips", "which needle for lips?", "is it safe", "is it safe?",
			"is this safe to use", "what gel for cheeks", "which cannula is best for tear trough",
			"can i inject", "can i go ahead", "ok to inject?", "is tamsel soft safe",
			"best needle for cheeks?", "is a cannula safer"},
		AsksWhoThisIs: {"who are you", "what can you do", "what do you do?", "what is holdbench", "are you a bot",
			"how do i use this"},
		TakeBack: {"undo", "take that back", "withdraw last", "undo that", "take back my last test",
			"withdraw my last test", "delete that", "undo please", "that was wrong"},
		AsksOwnSheet: {"what do I have", "what do i have in my drawer", "what do i stock?", "my sheet", "show me my holds", "list my gels"},
		AsksWhatWasTested: {"what have we tested so far", "coverage", "how many tests do we have", "stats",
			"which gels have been tested", "what has been tested?"},
		AsksNews:    {"what's new", "any news?", "anything new this week", "what has changed"},
		AsksTesters: {"who tests the most", "who has tested what", "the testers", "how do I compare"},
		AsksHowToTest: {"how do i test a new gel", "how do I test", "how to test my own needle",
			"how does a bench test work", "what do i need for a test", "how should i do a bench test"},
		AsksNewGel:        {"we got a new gel", "how do I add a product", "new filler", "my gel is not on the list"},
		AsksOwnData:       {"delete my data", "what do you know about me", "who can see my tests", "my data"},
		AsksToChangeATest: {"i need to change my test", "how do i correct a result", "i made a typo", "fix my last entry"},
		AsksNegative: {"can I trust a negative", "what is a negative worth", "how reliable is a negative aspiration",
			"what does no flashback mean", "false negatives"},
		AsksHowSure: {"how sure are you", "how reliable are these figures?", "how accurate is it", "how do you calculate",
			"where do these numbers come from?"},
		Bought:          {"i bought a box of tamsel fine", "we just got two boxes of orrick mid", "ordered more pellow lip"},
		AsksReminder:    {"remind me to test dunmere deep", "can you remind me tomorrow"},
		AsksOwnBox:      {"what do i have in my box", "what's in my box", "what did I put aside"},
		AsksWhatMatters: {"does priming matter", "does the temperature make a difference?", "what makes it slow"},
		AsksWhether: {"do i need to aspirate", "should i aspirate with a cannula", "is aspirating worth it",
			"do we have to draw back every time?"},
		Complication: {"bruised patient what now", "she has a lump, what do i do", "swelling next day"},
		NoTalk: {"how sure are you of orrick mid", "does orrick mid 27g matter", "orrick mid 27g 13mm", "hi, orrick mid 27g 13mm", "log 6.2",
			"what is the hold for orrick mid 27g", "thanks, and on 30g?", "is 8 s enough", "why",
			"which needle has orrick mid", "",
			"withdraw 12", "undo 3 of orrick mid", "what should the hold be", "who tested orrick mid",
			"what have we on orrick mid", "new gel orrick mid 27g", "my 30g", "how long do i hold", "test orrick mid 27g",
			"change to 27g", "news on tamsel soft 30g", "my gel is orrick mid"},
	} {
		for _, text := range texts {
			if got := ReadTalk(text); got != kind {
				t.Errorf("%q is %q, want %q", text, got, kind)
			}
		}
	}
}

func TestTheMeaningOfAWordIsAskedFor(t *testing.T) {
	for text, word := range map[string]string{"what does undecided mean": "undecided",
		"what does \"not settled\" mean?": "not settled",
		"what is the ceiling":             "ceiling", "explain share": "share",
		"what does untested mean here": "untested",
		"What's short of the target?":  "short of the target", "what is a hold": "hold", "hold 4": "", "what is 30G": "",
		"orrick mid 27g 13mm": ""} {
		if got := AsksMeaning(text); got != word {
			t.Errorf("%q asks for the meaning of %q, want %q", text, got, word)
		}
	}
}

func TestWhatAsksIsNoCommand(t *testing.T) {
	for _, text := range []string{"take tamsel soft, 27g 13mm, how many seconds?",
		"log orrick mid 30g 13mm 7.13 s?", "log says what for orrick mid 30g", "take orrick mid 27g how long",
		"log orrick mid 30g 13mm is 7 s enough", "stock says which gel"} {
		if !Asks(text) {
			t.Errorf("%q does not ask", text)
		}
	}
	for _, text := range []string{"log orrick mid 30g 13mm 7.13 s", "take orrick mid 27g 13mm",
		"log tamsel soft 30g 13mm none in 30", "stock orrick mid", "withdraw 12"} {
		if Asks(text) {
			t.Errorf("%q asks", text)
		}
	}
}
