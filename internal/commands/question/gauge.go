package question

import (
	"fmt"
	"strings"

	"holdbench/internal/quantity"
)

// The gauges that a question may name are those of calc.Gauges; a test in package commands compares the two. A gauge
// between them without a tabulated bore (24G) is read all the same: the calculation says whether it can be computed.
const (
	WidestGauge = 22
	FinestGauge = 34
)

// plausibleGauge reports whether v is a gauge of this trade.
func plausibleGauge(v float64) bool {
	return v == float64(int(v)) && v >= WidestGauge && v <= FinestGauge
}

// readGauges collects the gauges: "30G", "G30", "gauge: 30".
func (s *scan) readGauges() {
	for i := range s.quantities {
		q := &s.quantities[i]
		if q.used {
			continue
		}
		if q.unit != quantity.Gauge {
			if !q.bare() || !s.gaugeWordBefore(i) {
				continue
			}
			s.takeGaugeWord(q.from)
		}
		q.used, q.unit = true, quantity.Gauge
		s.take(q.from, q.to, measured)
		if q.negative || q.flaw || !plausibleGauge(q.value) {
			s.bad = fmt.Sprintf("%s is no gauge that can be looked up: %d to %d are.", s.typed(*q), WidestGauge,
				FinestGauge)
			continue
		}
		s.gauges = addOnce(s.gauges, int(q.value))
	}
	if len(s.gauges) == 0 && s.bad == "" && s.notANumber("gauge g ga") {
		s.bad = fmt.Sprintf("That gauge is no number: %d to %d are accepted.", WidestGauge, FinestGauge)
	}
}

// gaugeWordBefore reports whether the word "gauge" (or G, ga) stands before amount n and belongs to no other number.
func (s *scan) gaugeWordBefore(n int) bool {
	i := s.quantities[n].from - 1
	if s.isMark(i, ":=") {
		i--
	}
	if s.text(i) == "is" {
		i--
	}
	return gaugeAhead[s.word(i)]
}

// takeGaugeWord marks the gauge word before token i as taken.
func (s *scan) takeGaugeWord(i int) {
	for i--; i >= 0; i-- {
		s.roles[i] = measured
		if gaugeAhead[s.text(i)] {
			return
		}
	}
}

// typed returns the tokens of q as they were typed.
func (s *scan) typed(q amount) string {
	from := q.from
	if q.negative {
		from--
	}
	out := ""
	for i := from; i < q.to; i++ {
		if i > from && !s.toks[i].glued {
			out += " "
		}
		out += s.toks[i].raw
	}
	return clip(out)
}

// noNumbers are words that stand where a number should.
var noNumbers = list("no numbers")

// notANumber reports whether such a word stands before one of the units.
func (s *scan) notANumber(units string) bool {
	for i := range s.toks {
		for _, name := range strings.Fields(units) {
			w := s.text(i) // "nang", "nanmm": nothing parts letters from letters
			if bare := strings.TrimSuffix(w, name); noNumbers[bare] && (bare != w || s.text(i+1) == name) {
				return true
			}
		}
	}
	return false
}
