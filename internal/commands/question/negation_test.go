package question

import "testing"

func TestADilutionThatIsTakenBackIsNotAnswered(t *testing.T) {
	ix := demoIndex()
	undiluted, asked := 0, 0
	for _, words := range []string{"not the diluted one", "isn't diluted", "never diluted", "we dont dilute it",
		"instead of diluted", "before diluting", "not diluted", "wasn't diluted",
		"rather than diluted", "no dilution", "without diluting", "haven't diluted it", "didn't dilute it",
		"not yet diluted", "it's not been diluted", "nobody dilutes it", "not going to dilute",
		"won't dilute it",
		"don't want it diluted", "not using diluted", "diluted? no", "diluted - not", "never dilute",
		"skip the dilution", "prior to dilution", "nothing diluted", "forgot to dilute it",
		"not the 1:1 diluted",
		"avoid diluting", "undiluted", "neat", "can't be diluted", "hardly diluted", "no diluting"} {
		for _, text := range []string{"hesk paste " + words + " 27g 13mm", "hesk paste, 27g 13mm, " + words, words +
			", hesk 27g 13mm"} {
			switch r := ix.Read(text); {
			case r.Outcome == One && r.Product.Name != "Hesk Paste":
				t.Errorf("%q was answered for %s", text, r.Product.Name)
			case r.Outcome == One:
				undiluted++
			default:
				asked++
			}
		}
	}
	for _, text := range []string{"either hesk 27g 13mm", "both hesk 27g 13mm", "any hesk 27g 13mm",
		"which hesk 27g 13mm", "hesk and diluted hesk 27g 13mm", "hesk diluted and hesk undiluted 27g 13mm"} {
		if r := ix.Read(text); r.Outcome == One {
			t.Errorf("%q was answered for %s", text, r.Product.Name)
		}
	}
	for _, text := range []string{"hesk paste diluted 1:1 27g 13mm", "diluted hesk 27g 13mm",
		"hesk 1:1, 27g 13mm", "hesk diluted, not on the 30g but 27g 13mm"} {
		if r := ix.Read(text); r.Outcome == One && r.Product.Name != "Hesk Paste 1:1" {
			t.Errorf("%q was answered for %s", text, r.Product.Name)
		}
	}
	t.Logf("undiluted %d, asked %d", undiluted, asked)
}
