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
			"anything to test?", "what is untested", "what can we test today"},
		AsksAdvice: {"which needle for lips", "which needle for lips?", "is it safe", "is it safe?",
			"is this safe to use", "what gel for cheeks", "which cannula is best for tear trough",
			"should i aspirate", "can i inject", "can i go ahead", "ok to inject?", "is tamsel soft safe",
			"best needle for cheeks?", "is a cannula safer"},
		AsksWhoThisIs: {"who are you", "what can you do", "what do you do?", "what is holdbench", "are you a bot",
			"how do i use this"},
		TakeBack: {"undo", "take that back", "withdraw last", "undo that", "take back my last test",
			"withdraw my last test", "delete that", "undo please", "that was wrong"},
		NoTalk: {"orrick mid 27g 13mm", "hi, orrick mid 27g 13mm", "log 6.2",
			"what is the hold for orrick mid 27g", "thanks, and on 30g?", "is 8 s enough", "why",
			"which needle has orrick mid", "",
			"withdraw 12", "undo 3 of orrick mid", "what should the hold be"},
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
