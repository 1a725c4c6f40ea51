package knowledge

import (
	"context"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// Evidence is what the community knows of one combination: its tests, the
// estimate from all tests of the product, and what lies near it.
type Evidence struct {
	Combination trade.Combination // as on the list; a number 0 for what is not on it
	Setup       calc.Setup        // the same as the model sees it
	AssumedWall bool              // no wall class is on record; thin wall is assumed

	Ceiling calc.Seconds  // the longest hold the community calls usable
	Target  float64       // the share of tests a hold must cover
	Rule    calc.HoldRule // both, and how many tests and members a hold takes
	Pull    calc.Volume   // the pull that the forecast is for

	Tested  bool     // this combination has kept tests of its own
	Tests   TestList // those tests
	Counts  Counts   // what those tests alone say
	Flagged TestList // those of them that look mistyped or do not fit the others (Slip > ½)

	Behind   bool        // the estimate is from before the latest changes; a new one is being made
	Spread   GroupSpread // how much the estimate assumes that tests vary
	Forecast *calc.Forecast
	Verdict  calc.Verdict // by the forecast, at the ceiling
	State    calc.State   // what may be said of it
	Advice   calc.Advice  // the hold, or what withholds it
	Surprise float64      // calc.Forecast.Surprise of these tests; 1 if they tell nothing

	ProductTests   int // kept tests of the product, in all its combinations
	ProductTesters int // members who made them

	Nearest      []Neighbour // the nearest tested combinations, at most maxNeighbours
	Holders      int         // members who stock the product
	SetupHolders int         // of them, those who stock it with this instrument
	ClassTests   int         // kept tests of all products of this gel class, this one among them
}

// flaggedAbove is the probability of a slip of the pen above which a test is
// flagged.
const flaggedAbove = 0.5

// Evidence returns what the community knows of a combination, for a pull of the plunger
// (calc.DefaultPull if 0). It sees every change of a test that was made before the call.
// If a new estimate takes long, the previous one is used and Behind is set. The product
// must be on the list. An instrument or syringe that is not is taken as described.
//
// Errors: *FieldError; ErrNotFound for a product, instrument or syringe number
// this community does not have; *calc.RangeError for a pull that cannot be.
func (g *Group) Evidence(ctx context.Context, c trade.Combination, pull calc.Volume) (e *Evidence, err error) {
	defer wrap(&err, "evidence")
	if pull == 0 {
		pull = calc.DefaultPull
	}
	v, err := g.Vocabulary(ctx)
	if err != nil {
		return nil, err
	}
	if c, err = v.place(c); err != nil {
		return nil, err
	}
	e = &Evidence{Combination: c, Pull: pull}
	if e.Setup, e.AssumedWall, err = c.Setup(); err != nil {
		return nil, err
	}
	want, err := g.standing(ctx, e)
	if err != nil {
		return nil, err
	}
	file, err := g.productFileAt(ctx, c.Product.ID, want, goBy)
	if err != nil {
		return nil, err
	}
	if err := e.weigh(file); err != nil {
		return nil, err
	}
	if err := g.addStanding(ctx, e); err != nil {
		return nil, err
	}
	e.Nearest, err = g.nearest(ctx, v, file, e)
	return e, err
}

// standing reads, in one query, the community's rule for a hold and the versions that an
// answer must be based on.
func (g *Group) standing(ctx context.Context, e *Evidence) (want versions, err error) {
	err = g.store.look().Row(ctx, `
		SELECT `+ruleColumns+`, c.vocabulary_version, c.spread_version, p.log_version
		FROM products p
		JOIN communities c ON c.id = p.community_id
		WHERE p.community_id = ? AND p.id = ?`, g.id, e.Combination.Product.ID,
	).Scan(append(scanRule(&e.Rule), &want.vocabulary, &want.spread, &want.log)...)
	e.Ceiling, e.Target = e.Rule.Ceiling, e.Rule.Target
	return want, err
}

// weigh fills in what the tests and the estimate of the product say.
func (e *Evidence) weigh(file *productFile) error {
	r, err := file.reading(question{e.Setup, e.Pull, e.Rule})
	if err != nil {
		return err
	}
	w, err := r.weigh(file, keyOf(e.Combination), e.Rule)
	if err != nil {
		return err
	}
	if own := file.of(keyOf(e.Combination)); own != nil {
		e.Tests, e.Flagged, e.Tested = own.list, own.flagged, true
	}
	e.Counts, e.Surprise = w.counts, w.advice.Surprise
	e.ProductTests, e.ProductTesters = file.tests(), len(file.hands)
	e.Spread, e.Behind = file.spread, file.behind
	e.Forecast, e.Verdict = r.forecast, r.verdict
	e.State, e.Advice = w.advice.State(), w.advice
	return nil
}

// addStanding fills in how many members stock the product and how many tests its class has.
func (g *Group) addStanding(ctx context.Context, e *Evidence) (err error) {
	q := g.store.look()
	e.Holders, e.SetupHolders, err = g.holders(ctx, q, keyOf(e.Combination))
	if err != nil {
		return err
	}
	return q.Row(ctx, `
		SELECT COALESCE(SUM(kept_tests), 0)
		FROM products WHERE community_id = ? AND gel_class = ?`,
		g.id, e.Combination.Product.Class,
	).Scan(&e.ClassTests)
}
