package question

import (
	"slices"

	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

// Ask is what a short text asks about the last combination.
type Ask string

// What can be asked.
const (
	AskHold    Ask = "hold"    // the hold, or the share by a time
	AskWhy     Ask = "why"     // what sets the pace
	AskTests   Ask = "tests"   // who tested it, and how
	AskPicture Ask = "picture" // its picture
	AskLog     Ask = "log"     // to log a result
)

// FollowUp is a short text read as about the last combination. What it names replaces that part; the rest stays.
type FollowUp struct {
	Ask       Ask
	Options   []trade.Combination // one if it is clear which is meant, else what it could be
	Problem   string              // one sentence, set unless there is one option
	PullML    float64             // the pull that it names, 0 for none
	BySeconds float64             // the hold that it names, s, 0 for none
	Result    float64             // of AskLog: seconds until flashback, 0 for none seen
	WatchedS  float64             // of AskLog without flashback: seconds watched, 0 if it does not say
}

// longestFollowUp is the longest follow-up, in tokens: a longer text is a question of its own.
const longestFollowUp = 16

// ReadFollowUp reads a text as about the last combination. It is false for a question of its own, and for a text that
// says anything that such a question does not.
func (ix *Index) ReadFollowUp(text string, last trade.Combination) (FollowUp, bool) {
	toks, _ := tokensOf(text)
	if toks = withoutTakenBack(toks); len(toks) == 0 || len(toks) > longestFollowUp {
		return FollowUp{}, false
	}
	f := followUp{scan: newScan(ix, toks), last: last}
	if seconds, watched, is := f.result(); is {
		return FollowUp{Ask: AskLog, Options: []trade.Combination{last}, Result: seconds, WatchedS: watched}, true
	}
	if f.text(0) == "log" {
		return FollowUp{}, false // a log line of its own
	}
	f.readMeasures()
	f.readLoose()
	ask, asked := f.asks()
	if !f.readable(asked) {
		return FollowUp{}, false
	}
	products, named := f.products()
	if f.otherName() {
		return FollowUp{}, false
	}
	instruments, sized := f.instruments()
	syringes, filled := f.syringesFor(instruments, sized)
	said := named || sized || filled || len(f.pulls)+len(f.seconds) > 0
	if !said && !asked || named && len(f.gauges)+len(f.lengths) > 0 && !f.leadsOn() {
		return FollowUp{}, false
	}
	out := FollowUp{Ask: ask, Problem: f.problem, PullML: only(f.pulls), BySeconds: only(f.seconds)}
	for _, p := range products {
		for _, in := range instruments {
			for _, sy := range syringes {
				out.Options = append(out.Options, trade.Combination{Product: p, Instrument: in, Syringe: sy.Filled()})
			}
		}
	}
	if len(out.Options) > MaxChoices || len(out.Options) == 0 {
		return FollowUp{}, false
	}
	return out, true
}

// followUp is a text being read as about the last combination.
type followUp struct {
	*scan
	last    trade.Combination
	named   []int // the tokens that name a gel
	problem string
}

// takenBack are words that open a correction: "no, the 30".
var takenBack = list("taken back")

// withoutTakenBack drops what opens a correction, and what is not meant: "not the 27, the 30" is "the 30".
func withoutTakenBack(toks []token) []token {
	for len(toks) > 1 && (takenBack[toks[0].text] || toks[0].is == mark && toks[0].text != ".") &&
		!speaksOfThinning(toks[1].text) { // "no dilution?", "non dilué"
		toks = toks[1:]
	}
	if len(toks) > 0 && toks[0].text == "not" {
		if i := slices.IndexFunc(toks, func(t token) bool { return t.text == "," }); i > 0 && i < len(toks)-1 {
			return toks[i+1:]
		}
	}
	for len(toks) > 1 && (toks[len(toks)-1].text == "one" || toks[len(toks)-1].is == mark) {
		toks = toks[:len(toks)-1] // "the 4 mm one"
	}
	if i := slices.IndexFunc(toks, func(t token) bool { return t.text == "not" }); i > 0 && !negators[toks[i-1].text] {
		return toks[:i]
	}
	return toks
}

func speaksOfThinning(w string) bool {
	return slices.ContainsFunc(dilutionBook[w], func(p phrase) bool { return p.means == "diluted" })
}

// result reads a result alone: "log 6.2", "log none", "log none in 45 s", "same again 2.6".
func (f *followUp) result() (seconds, watched float64, is bool) {
	var rest []token
	logs := f.text(0) == "log"
	for _, t := range f.toks {
		logs = logs || againWords[t.text]
		if !resultFillers[t.text] && !againWords[t.text] {
			rest = append(rest, t)
		}
	}
	if !logs {
		return 0, 0, false
	}
	none := len(rest) > 0 && rest[0].text == "none"
	if none {
		rest = rest[1:]
	}
	switch {
	case none && len(rest) == 0:
		return 0, 0, true
	case len(rest) != 1 || rest[0].is != number || rest[0].flaw || !(rest[0].value > 0):
		return 0, 0, false
	case none:
		return 0, rest[0].value, true
	}
	return rest[0].value, 0, true
}

var resultFillers, againWords = list("result fillers"), list("again words")

// askBook has the ways to ask more about the last combination.
var askBook = book("asks")

// asks is what is asked, and whether any word asks.
func (f *followUp) asks() (Ask, bool) {
	ask, found := AskHold, false
	for i := range f.toks {
		means, end, ok := f.phraseAt(askBook, i)
		if !ok {
			continue
		}
		f.take(i, end, noise)
		if found = true; Ask(means) != AskHold {
			ask = Ask(means)
		}
	}
	// "what about" and "how about" alone ask nothing.
	return ask, found && (ask != AskHold || !(f.text(0) == "what" || f.text(0) == "how") || f.text(1) != "about")
}

// readLoose reads bare numbers and volumes as what they can only be about a combination: a gauge, a listed length, a
// pull.
func (f *followUp) readLoose() {
	for i := range f.quantities {
		q := &f.quantities[i]
		ml, volume := volumeML(*q)
		switch {
		case volume && f.speaksOfSyringe() && !slices.Contains(f.syringe.volumes, ml):
			f.readSyringeOf(ml)
		case volume && !slices.Contains(f.pulls, ml) && !slices.Contains(f.syringe.volumes, ml):
			same := func(v float64) bool { return sameVolume(v, ml) }
			f.syringe.doubtful = slices.DeleteFunc(f.syringe.doubtful, same)
			f.addPull(q)
		case !q.bare() || q.spelled:
		case q.value < 1 && looksLikePull(*q):
			f.syringe.doubtful = nil
			f.addPull(q)
		case plausibleGauge(q.value):
			q.used = true
			f.gauges = addOnce(f.gauges, int(q.value))
		case f.ix.listsLength(q.value) && f.leadsToLength(q.from-1):
			q.used = true
			f.lengths = append(f.lengths, lengthRead{[]float64{nominal(q.value)}})
		}
	}
}

var syringeWords = list("syringe words")

// speaksOfSyringe reports whether the text has a word for a syringe. A volume is then the syringe's and no pull.
func (f *followUp) speaksOfSyringe() bool {
	return slices.ContainsFunc(f.toks, func(t token) bool { return syringeWords[t.text] })
}

// readSyringeOf reads the volume of a syringe. Gel is sold in 1 mL syringes; a smaller one may be the supplied one or
// one with a fixed needle.
func (f *followUp) readSyringeOf(ml float64) {
	switch _, fixed := f.ix.fixedOf(ml); {
	case ml >= 1 && ml <= largestSupplied:
		f.syringe.supplied = true
	case fixed:
		f.syringe.doubtful = addOnce(f.syringe.doubtful, ml)
	default:
		f.syringe.other = true
	}
}

// leadsToLength reports whether the word at i may stand before a length alone: "the 8", "la de 8".
func (f *followUp) leadsToLength(i int) bool {
	return articles[f.text(i)] || sizeLeads[f.text(i)] || sizeOfs[f.text(i)] || f.text(i) == "about"
}

// anothers are words that no question about the last combination has.
var anothers = list("anothers")

// readable reports whether everything in the text makes sense about the last combination.
func (f *followUp) readable(asked bool) bool {
	unclear := f.negated || f.syringe.negated || f.syringe.other || f.dilution.clash() ||
		len(f.syringe.doubtful) > 0 && !f.speaksOfSyringe()
	if f.bad != "" || unclear || len(f.pulls) > 1 || len(f.seconds) > 1 {
		return false
	}
	for _, q := range f.quantities {
		if !q.used && !q.spelled {
			return false
		}
	}
	for i := range f.toks {
		w := f.word(i)
		turnsRound := anothers[w] || negators[w] && w != "instead"
		if w != "" && (turnsRound || f.unknown(i) || !asked && variantTails[w] && !f.ix.knowsWord(w)) {
			return false
		}
	}
	return true
}

// otherName reports whether a word belongs to a name on the list but was not read as one: it may be another gel's.
func (f *followUp) otherName() bool {
	for i := range f.toks {
		w := f.word(i)
		if len(w) < 2 || isOrdinary(w) || quantity.UnitOf(w) != quantity.NoUnit || slices.Contains(f.named, i) {
			continue
		}
		if f.ix.knowsWord(w) || len(f.ix.options(w)) > 0 || len(f.ix.begunBy(w)) > 0 {
			return true
		}
	}
	return false
}

// leadsOn reports whether the text opens as one that continues: "and", "what about".
func (f *followUp) leadsOn() bool {
	switch first := f.text(0); first {
	case "and", "same", "but":
		return true
	case "what", "how":
		return f.text(1) == "about"
	}
	return false
}
