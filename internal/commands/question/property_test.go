package question

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"holdbench/internal/trade"

	"pgregory.net/rapid"
)

// drawsPerCheck multiplies rapid's checks (100 unless a flag says otherwise).
const drawsPerCheck = 60

// gaugeForms and lengthForms are the ways a size is written.
func gaugeForms(g int) []string {
	n := fmt.Sprint(g)
	forms := []string{n + "G", n + "g", n + " G", n + " gauge", n + "-gauge", n + "ga",
		"G" + n, "gauge " + n, n + " guage", n + " Gauge"}
	spelled := map[int]string{22: "twenty two", 25: "twenty-five", 27: "twenty seven", 29: "twenty nine",
		30: "thirty", 31: "thirty one", 32: "thirty-two"}
	return append(forms, spelled[g]+" gauge", spelled[g]+" G")
}

func lengthForms(mm float64) []string {
	n := trade.Number(mm)
	forms := []string{n + "mm", n + " mm", n + " MM", n + "-mm", n + ".0 mm", n + " millimetre", n + "mil",
		trade.Number(mm/10) + " cm", trade.Number(mm/10) + "cm"}
	switch mm {
	case 4:
		forms = append(forms, `5/32"`, "5/32 inch")
	case 8:
		forms = append(forms, `5/16"`, "5/16 inch", "5/16in")
	case 13:
		forms = append(forms, "½ inch", `1/2"`, "½″", "half inch", "half an inch", "0.5 inch", ".5\"", "1/2in",
			"12.7mm")
	case 19:
		forms = append(forms, `3/4"`, "¾ inch", "three quarter inch", "0.75 inch")
	case 38:
		forms = append(forms, `1½"`, "1 1/2 inch", "1.5 inch", "1-1/2 in", "one and a half inch", "1,5 inch")
	case 50:
		forms = append(forms, "2 inch", `2"`, "two inch")
	}
	return forms
}

func kindForms(in trade.Instrument) []string {
	if in.Kind == trade.Cannula {
		return []string{"", " cannula", " canula", " Cannula", " blunt cannula", " cannulla", " microcannula"}
	}
	return []string{"", " needle", " Needle", " needel", " sharp"}
}

func one[T any](t *rapid.T, label string, from []T) T {
	return rapid.SampledFrom(from).Draw(t, label)
}

// setupText writes an instrument in one of many ways.
func setupText(t *rapid.T, in trade.Instrument) string {
	g, l := one(t, "gauge", gaugeForms(in.Gauge)), one(t, "length", lengthForms(in.LengthMM))
	kind := one(t, "kind", kindForms(in))
	switch rapid.IntRange(0, 4).Draw(t, "order") {
	case 0:
		return l + " " + g + kind
	case 1:
		return g + " x " + l + kind
	case 2:
		return g + ", " + l + kind
	case 3:
		return g + kind + " " + l
	}
	return g + " " + l + kind
}

var openings = []string{"", "hold for ", "how long for ", "whats the hold on ", "Hi, ", "please: ",
	"is it worth aspirating with ", "has anyone tested ", "quick q: "}
var joints = []string{" ", ", ", " on a ", " with ", " through a ", " via a ", " - ", " / ", " on "}
var closings = []string{"", "?", " please", " hold?", "??", " thanks", ", how long?", ". Thanks!"}

// sentenceOf puts a name and a set-up together, either first.
func sentenceOf(t *rapid.T, name, setup string) string {
	open, joint, end := one(t, "open", openings), one(t, "joint", joints), one(t, "close", closings)
	if rapid.Bool().Draw(t, "name first") {
		return open + name + joint + setup + end
	}
	return open + setup + one(t, "back", []string{", ", " - ", " for ", " with "}) + name + end
}

func TestEverySpellingOfASetUpIsAnswered(t *testing.T) {
	ix := demoIndex()
	rapid.Check(t, func(t *rapid.T) {
		for range drawsPerCheck {
			p, in := one(t, "product", demoProducts), one(t, "instrument", demoInstruments)
			name := one(t, "case", []func(string) string{strings.ToLower, strings.ToUpper,
				func(s string) string { return s }})(p.Name)
			text := sentenceOf(t, name, setupText(t, in))
			r := ix.ReadQuestion(text, Stated{})
			if r.Outcome != One || r.Product.ID != p.ID || r.Instrument.ID != in.ID || r.Syringe.Name != "supplied" {
				t.Fatalf("%q: %s (%s), want %s, %s", text, r.Outcome, told(r), p.Name, ix.InstrumentName(in))
			}
		}
	})
}

func TestOneSlipNeverMakesAnotherProduct(t *testing.T) {
	ix := demoIndex()
	answered, all := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		for range drawsPerCheck {
			p, in := one(t, "product", demoProducts), one(t, "instrument", demoInstruments)
			name := one(t, "name", append([]string{p.Name, p.Name, p.Name}, p.Aliases...))
			slipped := slipIn(t, name)
			if namesOther(ix, slipped, p.ID) {
				continue // no reader could tell
			}
			text := sentenceOf(t, slipped, setupText(t, in))
			r := ix.ReadQuestion(text, Stated{})
			all++
			if r.Outcome != One {
				continue
			}
			answered++
			if r.Product.ID != p.ID || r.Instrument.ID != in.ID {
				t.Fatalf("%q: answered %s, want %s, %s", text, told(r), p.Name, ix.InstrumentName(in))
			}
		}
	})
	t.Logf("%d of %d slipped questions answered, none wrong", answered, all)
	if answered*2 < all {
		t.Errorf("only %d of %d slipped questions answered: too timid to be of use", answered, all)
	}
}

// slipIn makes one typing slip, any letter in any place: worse than people are.
func slipIn(t *rapid.T, name string) string {
	i := rapid.IntRange(0, len(name)-1).Draw(t, "at")
	c := string(rune('a' + rapid.IntRange(0, 25).Draw(t, "letter")))
	switch rapid.IntRange(0, 6).Draw(t, "slip") {
	case 0:
		return name[:i] + name[i+1:]
	case 1:
		return name[:i] + name[i:i+1] + name[i:]
	case 2:
		return name[:i] + c + name[i+1:]
	case 3:
		return name[:i] + c + name[i:]
	case 4:
		if i+1 < len(name) {
			return name[:i] + name[i+1:i+2] + name[i:i+1] + name[i+2:]
		}
		return name
	case 5:
		return name[:i] + "-" + name[i:]
	}
	return name[:i] + " " + name[i:]
}

// namesOther reports whether text is, letter for letter, a name of a product
// other than id.
func namesOther(ix *Index, text string, id int64) bool {
	for _, n := range ix.forward[strings.Join(parseName(text).words, " ")] {
		if ix.products[ix.names[n].product].ID != id {
			return true
		}
	}
	return false
}

func TestEverySingleLetterChangeOfEveryNameIsSafe(t *testing.T) {
	ix := demoIndex()
	tried, answered := 0, 0
	for _, p := range demoProducts {
		for _, name := range append([]string{p.Name}, p.Aliases...) {
			for n, changed := range singleChanges(strings.ToLower(name)) {
				if namesOther(ix, changed, p.ID) {
					continue
				}
				texts := []string{changed + " 27g 13mm", "hold for " + changed + " on a 27g 13mm", "27g 13mm, " + changed}
				if at := n % len(texts); !*long { // each in turn
					texts = texts[at : at+1]
				}
				for _, text := range texts {
					tried++
					r := ix.ReadQuestion(text, Stated{})
					if r.Outcome != One {
						continue
					}
					answered++
					if r.Product.ID != p.ID && !sameFamily(r.Product, p) || r.Instrument.ID != 1 {
						t.Errorf("%q answered as %s, from %s", text, told(r), name)
					}
				}
			}
		}
	}
	t.Logf("%d texts, %d answered", tried, answered)
	if tried < 10000 || *long && tried < 30000 {
		t.Errorf("only %d texts tried", tried)
	}
}

// sameFamily allows for changes that hit the word about dilution itself and
// leave a whole name of the undiluted paste behind ("hesk dilute").
func sameFamily(a, b trade.Product) bool {
	return strings.HasPrefix(a.Name, "Hesk") && strings.HasPrefix(b.Name, "Hesk") && a.Diluted() == b.Diluted()
}

// anyChange returns one of the singleChanges of name.
func anyChange(rng *rand.Rand, name string) string {
	i := rng.IntN(len(name))
	all := singleChangesAt(name, i)
	return all[rng.IntN(len(all))]
}

// singleChanges returns every text that one letter, blank or hyphen left out,
// put in, swapped or replaced makes of name.
func singleChanges(name string) []string {
	var out []string
	for i := range len(name) {
		out = append(out, singleChangesAt(name, i)...)
	}
	return out
}

func singleChangesAt(name string, i int) []string {
	const letters = "abcdefghijklmnopqrstuvwxyz -"
	out := []string{name[:i] + name[i+1:]}
	if i+1 < len(name) {
		out = append(out, name[:i]+name[i+1:i+2]+name[i:i+1]+name[i+2:])
	}
	for _, c := range letters {
		out = append(out, name[:i]+string(c)+name[i:], name[:i]+string(c)+name[i+1:])
	}
	return out
}

func TestNoiseDoesNotChangeAnAnswer(t *testing.T) {
	ix := demoIndex()
	noise := []string{"my 2.30 is here", "at 14:15", "2pm patient", "45 yo", "3 patients waiting", "£250",
		"12/05/2026", "room 7", "2 syringes", "1 ml",
		"0.1 ml at a time", "20%", "5 min late", "since 2019", "x2", "2nd visit", "21 C", "24 mg/ml",
		"on the 3rd", "10 months ago", "F45", "#3",
		"patient 30 years old", "27 years of practice", "13 clients today", "tel 1234"}
	rapid.Check(t, func(t *rapid.T) {
		for range drawsPerCheck {
			p, in := one(t, "product", demoProducts), one(t, "instrument", demoInstruments)
			text := sentenceOf(t, p.Name, setupText(t, in))
			n := one(t, "noise", noise)
			if rapid.Bool().Draw(t, "first") {
				text = n + ", " + text
			} else {
				text += ", " + n
			}
			r := ix.ReadQuestion(text, Stated{})
			if r.Outcome != One || r.Product.ID != p.ID || r.Instrument.ID != in.ID || r.Syringe.Name != "supplied" ||
				r.BySeconds != 0 || r.PullML != 0 {
				t.Fatalf("%q: %s (%s, by %g, pull %g), want %s, %s", text, r.Outcome, told(r), r.BySeconds, r.PullML,
					p.Name, ix.InstrumentName(in))
			}
		}
	})
}

// TestTwoSlipsNeverMakeAnotherProduct goes beyond what is promised: two letters
// wrong anywhere in the name, and still never another product.
func TestTwoSlipsNeverMakeAnotherProduct(t *testing.T) {
	ix := demoIndex()
	rng := rand.New(rand.NewPCG(1, 2))
	answered := 0
	for range draws(20000) {
		p := demoProducts[rng.IntN(len(demoProducts))]
		name, ratio := strings.ToLower(p.Name), ""
		if p.Diluted() {
			name, ratio = strings.TrimSuffix(name, " 1:1"), " 1:1" // of a ratio with two slips nothing is left
		}
		text := anyChange(rng, anyChange(rng, name)) + ratio
		if namesOther(ix, text, p.ID) {
			continue
		}
		r := ix.Read(text + " 30g 13mm")
		if r.Outcome != One {
			continue
		}
		answered++
		if r.Product.ID != p.ID || r.Instrument.ID != 4 {
			t.Errorf("%q answered as %s, from %s", text, told(r), p.Name)
		}
	}
	t.Logf("%d of %d answered", answered, draws(20000))
}
