package question

import (
	"regexp"
	"slices"
	"strings"

	"holdbench/internal/trade"
)

// FollowUp is a short message about the combination that was asked about last.
type FollowUp struct {
	Kind    FollowUpKind
	Asked   trade.Combination   // the combination it is about; for Another the new one
	PullML  float64             // 0: none named
	Options []trade.Combination // when Another leaves it open: what it could be; Asked is not set then
	Seconds float64             // of Enough
	Result  string              // of LogIt: the words behind "log"
}

// FollowUpKind says what a follow-up wants to know.
type FollowUpKind string

// The kinds of follow-up.
const (
	Another FollowUpKind = "another" // the same with one part changed: "and on 30g?", "the cannula?", "same at .2"
	Why     FollowUpKind = "why"
	Who     FollowUpKind = "who" // who tested that
	Enough  FollowUpKind = "enough"
	LogIt   FollowUpKind = "log"
)

var (
	whyAsked  = regexp.MustCompile(`^(?:but |and )?(?:why|how come|why (?:is|was) that|why so (?:long|slow|short)|why that long|explain|explain that|where does that come from|how do you know)$`)
	whoAsked  = regexp.MustCompile(`^(?:and )?(?:who|whose|by whom)(?:'?s)?(?: (?:has|have|is|are|did|else))? ?(?:tested|test|tests|measured|logged|did|timed|made|figures|numbers)?(?: (?:that|this|it|these|those|them|one|is that|are these|are those|was that))*$`)
	enoughFor = regexp.MustCompile(`^(?:so |and |is |would |are )*(\d+(?:[.,]\d+)?|[.,]\d+) ?(?:s|secs?|seconds?)?(?: be)? (?:enough|ok|okay|sufficient|long enough|fine)(?: then)?$`)
	logIt     = regexp.MustCompile(`^log (?:it |that |as |at |with )*(.+)$`)
	samePull  = regexp.MustCompile(`^(?:and |same |but |the |what |about |at |with |a |of |pull |pulling |if |i |pulled )*(\d*[.,]\d+)(?: ?(?:ml|cc|mls))?(?: pull)?$`)
)

// carried are words of a follow-up that carry no part of the set-up.
var carried = set(`and same but no not sorry what about the a an on with for in instead if i use used using then or how one that it this at is was meant mean
	of to ok okay go try same-size my we again thanks please also has have wait would pull pulled pulling needle cannula`)

// mostFollowUp is the longest follow-up, in words: what is longer stands alone.
const mostFollowUp = 9

// ReadFollowUp reads a text as a follow-up of the last combination. ok is false for
// a text that names a combination itself, or says anything that nothing is made of:
// then it is read as what it is.
func (ix *Index) ReadFollowUp(text string, last trade.Combination) (f FollowUp, ok bool) {
	plain := plainTalk(text)
	if words := strings.Fields(plain); len(words) == 0 || len(words) > mostFollowUp || slices.Contains(words, "not") {
		return f, false
	}
	f.Asked = last
	if m := enoughFor.FindStringSubmatch(plain); m != nil {
		f.Kind, f.Seconds = Enough, decimalOf(m[1])
		return f, f.Seconds > 0 && f.Seconds <= trade.LongestWatchS
	}
	switch {
	case whyAsked.MatchString(plain):
		f.Kind = Why
		return f, true
	case whoAsked.MatchString(plain):
		f.Kind = Who
		return f, true
	}
	if m := logIt.FindStringSubmatch(plain); m != nil && ix.namesNothing(m[1]) {
		f.Kind, f.Result = LogIt, m[1]
		return f, true
	}
	return ix.another(plain, last)
}

func decimalOf(digits string) float64 {
	toks := tokenize(strings.Replace(digits, ",", ".", 1))
	if len(toks) != 1 {
		return 0
	}
	return toks[0].value
}

// namesNothing reports whether a text names neither gel nor size.
func (ix *Index) namesNothing(text string) bool {
	s := newScan(ix, tokenize(fold(text)))
	s.readMeasures()
	return len(s.gauges)+len(s.lengths) == 0 && len(s.findMentions()) == 0
}

// another reads a change of one part or more of the last combination.
func (ix *Index) another(plain string, last trade.Combination) (f FollowUp, ok bool) {
	f = FollowUp{Kind: Another, Asked: last}
	if m := samePull.FindStringSubmatch(plain); m != nil {
		f.PullML = decimalOf(m[1])
		return f, f.PullML >= trade.SmallestPullML && f.PullML <= trade.LargestPullML
	}
	s := newScan(ix, tokenize(fold(plain)))
	s.readMeasures()
	gauge, rest := s.gaugeAlone()
	product := s.readProduct()
	if s.bad != "" || s.negated || product.unread != "" && !s.onlyCarried(gauge) || len(s.gauges) > 1 || len(s.lengths) > 1 || len(s.pulls) > 1 || len(s.volumes) > 1 || !rest {
		return f, false
	}
	if len(s.pulls) == 1 {
		f.PullML = s.pulls[0]
	} else if ml, found := s.lonePull(); found {
		f.PullML = ml
	}
	products := ix.productsAfter(s, product, last.Product)
	instruments := ix.instrumentsAfter(s, gauge, last.Instrument)
	changed := len(products) > 0 || len(instruments) > 0 || f.PullML > 0
	if !changed || !s.onlyCarried(gauge) || s.syringe.fixed {
		return f, false
	}
	return f.combine(products, instruments, last), true
}

// combine puts the changed parts into the last combination.
func (f FollowUp) combine(products []trade.Product, instruments []trade.Instrument, last trade.Combination) FollowUp {
	if len(products) == 0 {
		products = []trade.Product{last.Product}
	}
	if len(instruments) == 0 {
		instruments = []trade.Instrument{last.Instrument}
	}
	for _, p := range products {
		for _, in := range instruments {
			if len(f.Options) < MaxChoices {
				f.Options = append(f.Options, trade.Combination{Product: p, Instrument: in, Syringe: last.Syringe})
			}
		}
	}
	if len(f.Options) == 1 {
		f.Asked, f.Options = f.Options[0], nil
	} else {
		f.Asked = trade.Combination{}
	}
	return f
}

// gaugeAlone is a bare number that is a gauge of the list: "no, the 30". ok is false
// where a number is left that is none.
func (s *scan) gaugeAlone() (gauge int, ok bool) {
	for _, q := range s.quantities {
		if q.used || q.spelled || s.explains(q) {
			continue
		}
		if _, isVolume := volumeML(q); isVolume {
			continue
		}
		listed := len(s.listed([]int{int(q.value)}, nil)) > 0
		if !q.bare() || !q.whole() || !plausibleGauge(q.value) || !listed || gauge != 0 || len(s.gauges) > 0 {
			return 0, false
		}
		gauge = int(q.value)
	}
	return gauge, true
}

// lonePull is a volume without a word for it, in a text that has no other.
func (s *scan) lonePull() (ml float64, ok bool) {
	for _, q := range s.quantities {
		if v, is := volumeML(q); is {
			ml, ok = v, !ok
		}
	}
	return ml, ok && ml >= trade.SmallestPullML && ml <= trade.LargestTestedPullML
}

// onlyCarried reports whether nothing is left that could turn the text round.
func (s *scan) onlyCarried(gauge int) bool {
	for _, left := range s.rest() {
		w := strings.ToLower(left)
		if !carried[w] && w != short(float64(gauge)) && !passed[w] {
			if _, volume := unitOf(strings.TrimLeft(w, "0123456789., ")); !volume {
				return false
			}
		}
	}
	return true
}

// productsAfter are the products that a follow-up names: one, or what a part of a
// name can be. "and firm?" after a gel of the same maker is that maker's.
func (ix *Index) productsAfter(s *scan, read productRead, last trade.Product) (found []trade.Product) {
	if read.ok {
		return []trade.Product{ix.products[read.product]}
	}
	options := read.options
	if len(options) == 0 {
		for _, m := range s.findMentions() {
			if m.cost <= plural {
				for _, p := range m.products {
					options = addOnce(options, p)
				}
			}
		}
	}
	head := strings.Fields(strings.ToLower(last.Name))
	var family []trade.Product
	for _, p := range options {
		name := ix.products[p]
		found = append(found, name)
		if words := strings.Fields(strings.ToLower(name.Name)); len(head) > 0 && len(words) > 0 && words[0] == head[0] {
			family = append(family, name)
		}
	}
	if len(family) == 1 {
		return family
	}
	return found
}

// instrumentsAfter are the instruments that a follow-up names, with what it leaves
// out as it was last, where the list has that.
func (ix *Index) instrumentsAfter(s *scan, gauge int, last trade.Instrument) []trade.Instrument {
	gauges := s.gauges
	if gauge != 0 {
		gauges = []int{gauge}
	}
	if len(gauges) == 0 && len(s.lengths) == 0 && !s.kindSaid() {
		return nil
	}
	var lengths []float64
	if len(s.lengths) == 1 {
		lengths = s.lengths[0].options
	}
	if len(gauges) == 1 && len(lengths) == 1 && len(s.listed(gauges, lengths)) == 0 {
		options, _ := s.asStated(gauges[0], lengths[0], "")
		return options
	}
	found := s.listed(gauges, lengths)
	for _, same := range []func(trade.Instrument) bool{
		func(in trade.Instrument) bool { return s.kindSaid() || in.Kind == last.Kind },
		func(in trade.Instrument) bool { return len(gauges) > 0 || in.Gauge == last.Gauge },
		func(in trade.Instrument) bool {
			return len(lengths) > 0 || nominal(in.LengthMM) == nominal(last.LengthMM)
		},
	} {
		var kept []trade.Instrument
		for _, in := range found {
			if same(in) {
				kept = append(kept, in)
			}
		}
		if len(kept) > 0 {
			found = kept
		}
	}
	return found
}
