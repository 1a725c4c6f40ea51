package knowledge

import (
	"cmp"
	"context"
	"database/sql"
	"slices"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// VerdictChange is a change of what may be said of a tested combination, at the
// usual pull and by the community's rule.
type VerdictChange struct {
	ID            int64 // stays the same when the product is merged
	Combination   trade.Combination
	Before, After calc.State // "" for untested
	Cause         VerdictCause
	Tests         int // kept tests of the combination, after
	At            time.Time
}

// VerdictCause says why a verdict changed.
type VerdictCause string

// The causes. A change of the rule alone is none: it is not recorded.
const (
	NewTests VerdictCause = "new tests" // of the product, by hand
	// tests withdrawn, restored, imported or merged; class or instrument corrected; a set-up looked at
	LogChanged VerdictCause = "log changed"

	// SpreadLearned: the same tests, weighed by another spread.
	SpreadLearned VerdictCause = "spread learned"
)

// VerdictChanges returns the changes recorded since a time, the oldest first, but
// for those that another computation said. It brings the estimates up to date
// before it looks.
func (g *Group) VerdictChanges(ctx context.Context, since time.Time) (changes []VerdictChange, err error) {
	defer wrap(&err, "verdict changes")
	if err := g.bringUpToDate(ctx, wait); err != nil {
		return nil, err
	}
	err = g.store.snapshot(ctx, func(q querier) error {
		v, err := g.vocabulary(ctx, q)
		if err != nil {
			return err
		}
		changes, err = database.Collect(ctx, q, func(rows *sql.Rows, c *VerdictChange) (err error) {
			var k combinationKey
			if err := rows.Scan(&c.ID, &k.product, &k.instrument, &k.syringe, &c.Before, &c.After, &c.Cause, &c.Tests,
				timeColumn{&c.At}); err != nil {
				return err
			}
			c.Combination, err = v.combination(k)
			return err
		}, `
			SELECT id, product_id, instrument_id, syringe_id, before, after, cause, kept_tests, changed_at
			FROM verdict_changes
			WHERE community_id = ? AND changed_at >= ? AND model = ? ORDER BY id`, g.id, formatTime(since), estimateModel)
		return err
	})
	return changes, err
}

// BringUpToDate makes anew, in the background, what an answer would have to
// have made first: estimates that another computation made, or that stand on
// another log, and what was said by another rule.
func (g *Group) BringUpToDate(ctx context.Context) (err error) {
	defer wrap(&err, "bring %q up to date", g.ref)
	return g.bringUpToDate(ctx, wait)
}

// behind is a product whose estimate does not stand on its log and the
// community's spread as they are, or of which something was said by another rule.
type behind struct {
	product int64
	current bool // the estimate is as it should be
}

// bringUpToDate has every estimate of a tested product made that is behind; in haste
// as productFileAt says: what takes longer is made in the background.
func (g *Group) bringUpToDate(ctx context.Context, h haste) error {
	all, err := database.Collect(ctx, g.store.look(), func(rows *sql.Rows, b *behind) error { return rows.Scan(&b.product, &b.current) }, `
		SELECT p.id, CASE WHEN e.product_id IS NULL THEN 0 ELSE 1 END
		FROM products p
		JOIN communities c ON c.id = p.community_id
		LEFT JOIN estimates e ON e.product_id = p.id
		     AND e.log_version = p.log_version AND e.spread_version = c.spread_version AND e.model = ?
		WHERE p.community_id = ?
		      AND (e.product_id IS NULL AND (p.kept_tests > 0 OR p.id IN (SELECT product_id FROM verdicts WHERE community_id = ?))
		           OR p.id IN (SELECT v.product_id FROM verdicts v
		                       JOIN communities c ON c.id = v.community_id
		                       WHERE v.community_id = ? AND NOT (`+sameRule+`)))
		ORDER BY p.id`, estimateModel, g.id, g.id, g.id)
	if err != nil {
		return err
	}
	for _, b := range all {
		file, err := g.productFile(ctx, b.product, h)
		if err == nil && b.current && !file.behind {
			err = g.sayAnew(ctx, b.product, file)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// keepVerdicts writes down what a new estimate says of each tested combination
// of the product, and what has changed by it.
func (g *Group) keepVerdicts(ctx context.Context, q querier, product int64, file *productFile,
	before saidBefore) error {
	rule, err := g.holdRule(ctx, q)
	if err != nil {
		return err
	}
	now, err := file.sayAll(rule)
	if err != nil {
		return err
	}
	if err := g.replaceVerdicts(ctx, q, product, now); err != nil {
		return err
	}
	cause, known, err := g.causeOf(ctx, q, product, file, before)
	if err != nil || !known {
		return err
	}
	for _, k := range bothKeys(before.verdicts, now) {
		was, tested := before.verdicts[k]
		if tested && was.rule != rule {
			continue // what the tests changed and what the rule did cannot be told apart
		}
		if after := now[k]; was.state != after.state {
			if err := g.addVerdictChange(ctx, q, k, was.state, after.state, cause, after.tests); err != nil {
				return err
			}
		}
	}
	return nil
}

// causeOf says why verdicts of a product changed; not known where the estimate
// before was another computation's, or is older than these records. So a change of
// the method is not told as one of every combination.
func (g *Group) causeOf(ctx context.Context, q querier, product int64, file *productFile,
	b saidBefore) (cause VerdictCause, known bool, err error) {
	if b.there && (b.latest < 0 || b.model != estimateModel) {
		return "", false, nil
	}
	if b.there && b.log == file.logVersion && b.spread != file.spread.Version {
		return SpreadLearned, true, nil
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
	return LogChanged, true, nil
}

func (g *Group) addVerdictChange(ctx context.Context, q querier, k combinationKey, before, after calc.State,
	cause VerdictCause, tests int) error {
	_, err := q.Exec(ctx, `
		INSERT INTO verdict_changes (community_id, product_id, instrument_id, syringe_id, before, after, cause, kept_tests, changed_at, model)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		g.id, k.product, k.instrument, k.syringe, before, after, cause, tests, formatTime(g.store.now()), estimateModel)
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
		return cmp.Or(cmp.Compare(a.product, b.product), cmp.Compare(a.instrument, b.instrument),
			cmp.Compare(a.syringe, b.syringe))
	})
	return keys
}
