package logline

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

const pullWord = `\b(?:pull(?:ed|ing|s)?(?:\s*-?\s*back)?|draw(?:n|ing|back)?|drew|aspirat\w*|retract\w*|plunger` +
	`|withdr\w+)\b`

var (
	pulled = regexp.MustCompile(pullWord + `[\s:=]*(?:back|plunger|the|to|of|by|was|at|about` +
		`|\s)*(` + quantity.Decimal + `)\s*(` + quantity.VolumeUnit + `)?\b(\s*` + pullWord + `)?`)
	pullBehind = regexp.MustCompile(`(?:^|[\s,;(])(0?[.,]\d{1,3})\s*pull\b`)
	pullRange  = regexp.MustCompile(`(?:` + pullWord + `[\s:=]*(?:back|of|to|by|at)?\s*)?` + rangeStart + `\s*` +
		quantity.VolumeUnit + `\b`)
	volume = regexp.MustCompile(`(?:^|[\s,;:=(/])(` + quantity.Decimal + `)\s*(` + quantity.VolumeUnit +
		`)\b(?:\s*(?:of\s+)?` + pullWord + `(?:\s*back)?)?`)
	syringed = regexp.MustCompile(`^[\s,-]*(?:\w+\s+)?(?:syringe|insulin|luer|fixed|bd\b|barrel)`)
	fixed    = regexp.MustCompile(`(?:fixed[- ]needle|insulin(?: syringe)?|syringe|luer(?:[- ]lock)?` +
		`|in an?)[\s,:]*$`)
	volumeEnds = regexp.MustCompile(quantity.VolumeUnit + `\s*(?:of\s+)?$`)
	units      = regexp.MustCompile(`(?:^|[\s,;(])(` + quantity.Decimal + `\s*(?:units?|iu|u))\b`)
	luer       = regexp.MustCompile(`\bluer(?:[- ]?(?:lock|slip))?\b`)
	fixedSize  = map[float64]bool{0.3: true, 0.5: true, 1: true} // fixed-needle syringes come so
)

// readPulls finds how far the plunger was drawn, with or without a word for it. A volume beside a word for a syringe
// is the syringe's.
func (r *reader) readPulls() {
	var found []float64
	if m := pullRange.FindSubmatchIndex(r.plain); m != nil {
		r.askWhich(m, askPull, "mL")
	}
	for m := pulled.FindSubmatchIndex(r.plain); m != nil; m = pulled.FindSubmatchIndex(r.plain) {
		whole := !strings.ContainsAny(r.typed[m[2]:m[3]], ".,") // "second pull 7": rather the seconds
		if m[4] < 0 && (whole || volumeEnds.Match(r.plain[:m[0]])) {
			break
		}
		text := r.typed[m[2]:m[3]] + group(r.typed, m, 2)
		r.take(m[0], m[1])
		found = r.addPull(found, text)
	}
	if m := pullBehind.FindSubmatchIndex(r.plain); m != nil {
		text := r.typed[m[2]:m[3]]
		r.take(m[2], m[1])
		found = r.addPull(found, text)
	}
	found = r.readVolumes(found)
	if m := units.FindSubmatchIndex(r.plain); m != nil {
		text := r.take(m[2], m[3])
		r.ask(Question{Text: "How many mL was the pull? " + text + " could be read in two ways.", kind: askPull})
	}
	if len(found) == 1 {
		r.PullML = found[0]
	} else if len(found) > 1 {
		r.ask(Question{Text: "Two pulls are named. Which was it?", kind: askPull,
			Answers: offered(trade.Number(found[0])+" mL", trade.Number(found[1])+" mL")})
	}
}

// readVolumes adds the volumes that no word calls a pull. One that is a size of syringes is asked about.
func (r *reader) readVolumes(found []float64) []float64 {
	for from := 0; from < len(r.plain); {
		m := volume.FindSubmatchIndex(r.plain[from:])
		if m == nil {
			break
		}
		start, end := from+m[2], from+m[1]
		from = end
		if syringed.Match(r.plain[end:]) || fixed.Match(r.plain[:start]) {
			continue
		}
		text := strings.TrimSpace(r.typed[start:from])
		bare := r.typed[start:start+m[3]-m[2]] + r.typed[start+m[4]-m[2]:start+m[5]-m[2]]
		r.take(start, end)
		if v, err := quantity.Volume(bare); err == nil && fixedSize[v] && bare == strings.ReplaceAll(text, " ", "") {
			r.ask(Question{Text: fmt.Sprintf("Is %s mL the pull or the syringe?", trade.Number(v)), kind: askPull,
				number: trade.Number(v) + " ml",
				Answers: []Answer{{"pull " + trade.Number(v) + " mL", trade.Number(v) + " ml"},
					{"the syringe", "syringe"}}})
			continue
		}
		found = r.addPull(found, bare)
	}
	return found
}

func (r *reader) addPull(found []float64, text string) []float64 {
	v, err := quantity.Volume(text)
	if err != nil || !canBePull(v) {
		r.ask(Question{Text: fmt.Sprintf("What pull is %s? It takes %s to %s mL.", text,
			trade.Number(trade.SmallestPullML), trade.Number(trade.LargestTestedPullML)), kind: askPull})
		return found
	}
	if slices.Contains(found, v) {
		return found
	}
	return append(found, v)
}
