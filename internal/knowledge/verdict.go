package knowledge

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"slices"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// VerdictChange is a change of what the estimate says of a tested combination,
// at the usual pull and the community's ceiling.
type VerdictChange struct {
	ID            int64 // stays the same when the product is merged
	Combination   trade.Combination
	Before, After calc.Verdict // "" for untested
	Cause         VerdictCause
	Tests         int // kept tests of the combination, after
	At            time.Time
}

// VerdictCause says why a verdict changed.
type VerdictCause string

// The causes. A change of the ceiling alone is none: it is not recorded.
const (
	NewTests   VerdictCause = "new tests"   // of the product, by hand
	LogChanged VerdictCause = "log changed" // tests withdrawn, restored, imported or merged; class or instrument corrected

	// SpreadLearned: the same tests, weighed by another spread.
	SpreadLearned VerdictCause = "spread learned"
)

// VerdictChanges returns the changes recorded since a time, the oldest first. It
// brings the estimates up to date before it looks.
func (g *Group) VerdictChanges(ctx context.Context, since time.Time) (changes []VerdictChange, err error) {
	defer wrap(&err, "verdict changes")
	if err := g.bringUpToDate(ctx); err != nil {
		return nil, err
	}
	err = g.store.snapshot(ctx, func(q querier) error {
		v, err := g.vocabulary(ctx, q)
		if err != nil {
			return err
		}
		changes, err = database.Collect(ctx, q, func(rows *sql.Rows, c *VerdictChange) (err error) {
			var k combinationKey
			if err := rows.Scan(&c.ID, &k.product, &k.instrument, &k.syringe, &c.Before, &c.After, &c.Cause, &c.Tests, timeColumn{&c.At}); err != nil {
				return err
			}
			c.Combination, err = v.combination(k)
			return err
		}, `
			SELECT id, product_id, instrument_id, syringe_id, before, after, cause, kept_tests, changed_at
			FROM verdict_changes
			WHERE community_id = ? AND changed_at >= ? ORDER BY id`, g.id, formatTime(since))
		return err
	})
	return changes, err
}

// bringUpToDate computes every estimate of a tested product that does not stand
// on the product's log and the community's spread as they are.
func (g *Group) bringUpToDate(ctx context.Context) error {
	behind, err := database.Collect(ctx, g.store.look(), database.Column[int64], `
		SELECT p.id
		FROM products p
		JOIN communities c ON c.id = p.community_id
		LEFT JOIN estimates e ON e.product_id = p.id
		     AND e.log_version = p.log_version AND e.spread_version = c.spread_version AND e.model = ?
		WHERE p.community_id = ? AND e.product_id IS NULL
		      AND (p.kept_tests > 0 OR p.id IN (SELECT product_id FROM verdicts WHERE community_id = ?))
		ORDER BY p.id`, estimateModel, g.id, g.id)
	if err != nil {
		return err
	}
	for _, product := range behind {
		if _, err := g.productFile(ctx, product); err != nil {
			return err
		}
	}
	return nil
}

// saidBefore is what an estimate that is about to be replaced said.
type saidBefore struct {
	there    bool  // there was one
	latest   int64 // the community's latest test when it was made; −1 not recorded
	model    int   // the computation that made it
	log      int64 // the version of the product's log it stood on
	spread   int64 // the version of the spread it was made with
	estimate []byte
	verdicts map[combinationKey]verdictAt
}

type verdictAt struct {
	verdict calc.Verdict
	ceiling calc.Seconds
}

// keepVerdicts writes down what a new estimate says of each tested combination
// of the product, and what has changed by it.
func (g *Group) keepVerdicts(ctx context.Context, q querier, product int64, file *productFile, before saidBefore) error {
	ask := question{pull: calc.DefaultPull}
	if err := q.Row(ctx, `SELECT ceiling_s, target_share FROM communities WHERE id = ?`, g.id).Scan(&ask.ceiling, &ask.target); err != nil {
		return err
	}
	now := make(map[combinationKey]testedCombination)
	said := make(map[combinationKey]verdictAt)
	for _, t := range file.tested {
		ask.setup = t.setup
		r, err := file.reading(ask)
		if err != nil {
			return err
		}
		k := keyOf(t.combination)
		now[k], said[k] = t, verdictAt{r.verdict, ask.ceiling}
	}
	if err := g.replaceVerdicts(ctx, q, product, said); err != nil {
		return err
	}
	cause, known, err := g.causeOf(ctx, q, product, file, before)
	if err != nil || !known {
		return err
	}
	for _, k := range bothKeys(before.verdicts, said) {
		was, ok := before.at(k, ask, now[k].setup)
		if after := said[k].verdict; ok && was != after {
			if err := g.addVerdictChange(ctx, q, k, was, after, cause, now[k].tests); err != nil {
				return err
			}
		}
	}
	return nil
}

func (g *Group) saidBefore(ctx context.Context, q querier, product int64) (b saidBefore, err error) {
	b.verdicts = make(map[combinationKey]verdictAt)
	err = q.Row(ctx, `
		SELECT latest_test, model, log_version, spread_version, estimate FROM estimates
		WHERE community_id = ? AND product_id = ?`, g.id, product,
	).Scan(&b.latest, &b.model, &b.log, &b.spread, &b.estimate)
	if errors.Is(err, sql.ErrNoRows) {
		err = nil
	} else {
		b.there = true
	}
	if err != nil {
		return b, err
	}
	type row struct {
		k combinationKey
		verdictAt
	}
	rows, err := database.Collect(ctx, q, func(rows *sql.Rows, r *row) error {
		return rows.Scan(&r.k.product, &r.k.instrument, &r.k.syringe, &r.verdict, &r.ceiling)
	}, `
		SELECT product_id, instrument_id, syringe_id, verdict, ceiling_s
		FROM verdicts WHERE community_id = ? AND product_id = ?`, g.id, product)
	for _, r := range rows {
		b.verdicts[r.k] = r.verdictAt
	}
	return b, err
}

// at returns the verdict before, "" for untested, at the ceiling as it is now. One
// that was said at another ceiling is read again from the estimate before; not ok
// if that cannot be told.
func (b saidBefore) at(k combinationKey, ask question, setup calc.Setup) (was calc.Verdict, ok bool) {
	said, tested := b.verdicts[k]
	if !tested || said.ceiling == ask.ceiling || setup == (calc.Setup{}) {
		return said.verdict, true
	}
	estimate := new(calc.Estimate)
	if b.model != estimateModel || estimate.UnmarshalBinary(b.estimate) != nil {
		return "", false
	}
	forecast, err := estimate.Forecast(setup, ask.pull)
	if err != nil {
		return "", false
	}
	return forecast.Verdict(ask.ceiling), true
}

// causeOf says why verdicts of a product changed; not known where the estimate
// before was another computation's, or is older than these records.
func (g *Group) causeOf(ctx context.Context, q querier, product int64, file *productFile, b saidBefore) (cause VerdictCause, known bool, err error) {
	if b.there && b.latest < 0 {
		return "", false, nil
	}
	if b.there && b.log == file.logVersion && b.spread != file.spread.Version {
		return SpreadLearned, b.model == estimateModel, nil
	}
	var fresh int
	err = q.Row(ctx, `
		SELECT COUNT(*) FROM tests
		WHERE community_id = ? AND product_id = ? AND state = 'kept' AND entered = ? AND corrects_id IS NULL AND id > ?
		      AND id NOT IN (SELECT test_id FROM merged_tests WHERE community_id = ?)`,
		g.id, product, byHand, b.latest, g.id).Scan(&fresh)
	switch {
	case err != nil:
		return "", false, err
	case fresh > 0:
		return NewTests, true, nil
	}
	return LogChanged, !b.there || b.model == estimateModel, nil
}

func (g *Group) replaceVerdicts(ctx context.Context, q querier, product int64, said map[combinationKey]verdictAt) error {
	if _, err := q.Exec(ctx, `
		DELETE FROM verdicts WHERE community_id = ? AND product_id = ?`, g.id, product); err != nil {
		return err
	}
	for k, at := range said {
		if _, err := q.Exec(ctx, `
			INSERT INTO verdicts (community_id, product_id, instrument_id, syringe_id, verdict, ceiling_s)
			VALUES (?, ?, ?, ?, ?, ?)`, g.id, k.product, k.instrument, k.syringe, at.verdict, float64(at.ceiling)); err != nil {
			return err
		}
	}
	return nil
}

func (g *Group) addVerdictChange(ctx context.Context, q querier, k combinationKey, before, after calc.Verdict, cause VerdictCause, tests int) error {
	_, err := q.Exec(ctx, `
		INSERT INTO verdict_changes (community_id, product_id, instrument_id, syringe_id, before, after, cause, kept_tests, changed_at)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		g.id, k.product, k.instrument, k.syringe, before, after, cause, tests, formatTime(g.store.now()))
	return err
}

// bothKeys returns the combinations in either map, in a fixed order.
func bothKeys[A, B any](a map[combinationKey]A, b map[combinationKey]B) []combinationKey {
	all := make(map[combinationKey]bool, len(a)+len(b))
	for k := range a {
		all[k] = true
	}
	for k := range b {
		all[k] = true
	}
	keys := make([]combinationKey, 0, len(all))
	for k := range all {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b combinationKey) int {
		return cmp.Or(cmp.Compare(a.product, b.product), cmp.Compare(a.instrument, b.instrument), cmp.Compare(a.syringe, b.syringe))
	})
	return keys
}
