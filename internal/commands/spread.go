package commands

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
)

const spreadName = "group spread"

var spreadCommand = &Command{
	Name:    spreadName,
	Summary: "How far apart the group's tests are, and whether answers use that or the defaults",
	Help: "Repeats by one tester and tests by different testers, after ISO 5725-2; what the estimates use, and since " +
		"when; and whether anybody's times differ from the others'. Members see their own, the trainer everybody's.",
	Who:      anyMember, // not Shared: it names testers
	Examples: []string{"/group spread"},
	Run:      runSpread,
}

func runSpread(ctx context.Context, env *Env, call *Call) (Card, error) {
	report, err := env.Group.Spread(ctx)
	if err != nil {
		return Card{}, err
	}
	c := spreadCard(report, call.now.Location())
	c.Facts = append(c.Facts, testersSeenBy(call.Asker, report.Testers)...)
	c.fact("More", "/%s %s", methodName, partSpread)
	return c, nil
}

// spreadCard says how far tests vary, as measured and as estimates assume it.
func spreadCard(r knowledge.SpreadReport, zone *time.Location) Card {
	c := Card{Title: "How far apart the group's tests are", Verdict: spreadInForce(r, zone)}
	if r.Measured == nil {
		c.line("Nobody has repeated a test of one combination with one pull yet, so it is not known.")
	} else {
		measuredFacts(&c, r)
	}
	d := calc.DefaultSpread()
	const taken = "%s from one combination to the next, %s from hand to hand, %s for the rest%s"
	if r.InForce.Own {
		l := r.InForce.Learned
		c.fact("Estimates take, of the suction", taken, learnedWords(l.Combination, d.Combination),
			learnedWords(l.Tester, d.Tester), learnedWords(l.Rest, d.Rest), "; limits 19 times in 20")
		c.Warnings = append(c.Warnings, l.Warnings...)
	} else {
		c.fact("Estimates take, of the suction", taken, inHundred(d.Combination), inHundred(d.Tester),
			inHundred(d.Rest), ": assumed, from memory")
	}
	c.citeSpread(r.InForce)
	return c
}

// spreadInForce says whether answers use the defaults or the group's own spread, which version and since when; or what
// is missing for its own.
func spreadInForce(r knowledge.SpreadReport, zone *time.Location) string {
	made := r.InForce.MadeAt.In(zone).Format(dateForm)
	soFar := fmt.Sprintf("%s in %s, and it takes %d in %d", count(r.Repeats, "repeat"),
		count(r.RepeatedCombinations, "combination"), calc.RepeatsNeeded, calc.RepeatedCombinationsNeeded)
	l := r.InForce.Learned
	switch {
	case r.InForce.Own:
		return fmt.Sprintf("Answers use %s own spread: version %d, learned %s from %s in %s by %s.", fromGroup,
			r.InForce.Version, made, count(l.Repeats, "repeat"), count(l.RepeatedCombinations, "combination"),
			count(l.Testers, "tester"))
	case r.InForce.Version > 0 && !r.Enough():
		return fmt.Sprintf("Answers use the %s again, version %d since %s: now %s.", fromDefaults, r.InForce.Version,
			made, soFar)
	case !r.Enough():
		return fmt.Sprintf("Answers use the %s: so far %s.", fromDefaults, soFar)
	}
	return fmt.Sprintf("Answers use the %s; there are enough repeats (%d in %d combinations), and the group's own is "+
		"learned next.", fromDefaults, r.Repeats, r.RepeatedCombinations)
}

// apartShare is the share of pairs of tests whose times differ by no more than the factor on the card. A factor above
// mostApart is too large to be of use and is not shown (project's choice).
const (
	apartShare = 0.9
	mostApart  = 100
)

// measuredFacts says repeatability and reproducibility in words and in figures, and what was left out of them.
func measuredFacts(c *Card, r knowledge.SpreadReport) {
	m := r.Measured
	c.fact("The same tester again", "two tests %s", apartWords(m.Repeatability))
	c.fact("Another tester", "two tests %s", apartWords(m.Reproducibility))
	if math.IsInf(m.Reproducibility.High, 1) {
		c.warn("No combination was tested by two testers with one pull, so what a hand adds is not known.")
	}
	c.fact("For a statistician", "repeatability %s, reproducibility %s, of ln time by combination and pull "+
		"(ISO 5725-2)", deviationWords(m.Repeatability), deviationWords(m.Reproducibility))
	c.fact("From", "%s that showed, in %s of one combination and pull", count(m.Repeats, "repeat"),
		count(m.RepeatedCombinations, "set"))
	if left := leftOut(r); left != "" {
		c.fact("Left out", "%s; slow combinations may scatter more than this says", left)
	}
}

// apartWords says how far apart two tests are: "lie within 1.7 times of each other, 9 in 10 (range 1.5 to 2)".
func apartWords(s calc.Statistic) string {
	factor := func(sd float64) string {
		times, err := calc.TimesApart(sd, apartShare)
		if err != nil || times > mostApart {
			return ""
		}
		return ratioWords(times)
	}
	words := "lie within " + factor(s.Value) + " times of each other, 9 in 10"
	if high := factor(s.High); high != "" {
		return words + " (range " + factor(s.Low) + " to " + high + ")"
	}
	return words + " (" + factor(s.Low) + " or more)"
}

// deviationWords is a standard deviation with its limits.
func deviationWords(s calc.Statistic) string {
	if math.IsInf(s.High, 1) {
		return fmt.Sprintf("%.2f (%.2f or more)", s.Value, s.Low)
	}
	return fmt.Sprintf("%.2f (%.2f to %.2f)", s.Value, s.Low, s.High)
}

// leftOut counts the tests that have no part in repeatability.
func leftOut(r knowledge.SpreadReport) string {
	var parts []string
	for _, p := range []struct {
		n    int
		what string
	}{{r.Measured.None, "without flashback"}, {r.Measured.AtOnce, "shown at once"},
		{r.Slips, "that look mistyped or do not fit the others"}} {
		if p.n > 0 {
			parts = append(parts, fmt.Sprintf("%s %s", count(p.n, "test"), p.what))
		}
	}
	return strings.Join(parts, ", ")
}

// learnedWords is a learned spread with its limits and the default it replaces.
func learnedWords(s calc.Statistic, standard float64) string {
	percent := func(v float64) string { return trimNumber(math.Round(100 * v)) }
	return fmt.Sprintf("%s in 100 (%s to %s; default %s)", percent(s.Value), percent(s.Low), percent(s.High),
		percent(standard))
}

// testersSeenBy is what an asker sees of how testers compare: the trainer sees each one who differs; a member sees how
// many do, and how the member's own times compare.
func testersSeenBy(asker Asker, testers []knowledge.TesterStanding) []Fact {
	if asker.Role.Covers(knowledge.TrainerRole) {
		return testerFacts(testers)
	}
	compared, differ := 0, 0
	own := Fact{"You", "cannot be compared yet: that takes tests of what others tested too"}
	for _, t := range testers {
		if t.Ratio == 0 {
			continue
		}
		compared++
		if t.Differs {
			differ++
		}
		if t.Member.Ref == asker.Ref {
			own.Text = ownStanding(t)
		}
	}
	if compared == 0 {
		return testerFacts(testers)
	}
	words := differWords(strconv.Itoa(compared), differ)
	if differ > 0 {
		words += "; the trainer sees who"
	}
	return []Fact{{"Testers", words}, own}
}

// ownStanding is how the asker's own times compare with the others'.
func ownStanding(t knowledge.TesterStanding) string {
	if t.Differs {
		return standingWords(t)
	}
	return fmt.Sprintf("times about %s of the others', no clear difference (%s sure: %s to %s); %s",
		ratioWords(t.Ratio), testersSure, ratioWords(t.Low), ratioWords(t.High), count(t.Tests, "test"))
}

// Where the spread of an estimate comes from, in words.
const (
	fromDefaults = "defaults"
	fromGroup    = "your group's"
)

// spreadOrigin says whether an estimate uses the default spread or the group's own.
func spreadOrigin(s knowledge.GroupSpread) string {
	if s.Own {
		return fromGroup
	}
	return fromDefaults
}

// spreadSource is spreadOrigin as one of a Card's sources.
func spreadSource(s knowledge.GroupSpread) string {
	if s.Own {
		return fmt.Sprintf("spread between tests from %s own %s", fromGroup, count(s.Learned.Repeats, "repeat"))
	}
	return "spread between tests from the " + fromDefaults
}

// citeSpread names the spread that a Card's estimates use. A Card of several estimates may name two while a new spread
// comes into force.
func (c *Card) citeSpread(s knowledge.GroupSpread) {
	if source := spreadSource(s); !slices.Contains(c.Sources, source) {
		c.Sources = append(c.Sources, source)
	}
}

// markRenewable marks an answer that is worth renewing once its estimate counts all tests.
func (c *Card) markRenewable(e *knowledge.Evidence) {
	if e.Behind {
		c.Behind = e.Combination.Product.ID
	}
}

// sayBehind warns, once on a Card, that an estimate does not count the latest tests yet.
func (c *Card) sayBehind(e *knowledge.Evidence) {
	const behind = "The estimate does not count the latest tests yet; ask again in a moment."
	if e.Behind && !slices.Contains(c.Warnings, behind) {
		c.warn(behind)
	}
}
