package knowledge

import (
	"cmp"
	"context"
	"database/sql"
	"maps"
	"slices"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// VerdictChange is a change of what may be said of a tested combination, at the
// usual pull and by the community's rule.
type VerdictChange struct {
	ID            int64 // a merge of the product keeps it
	Combination   trade.Combination
	Before, After calc.State // "" for untested
	Cause         VerdictCause
	Tests         int // kept tests of the combination, after
	At            time.Time
}

// VerdictCause says why a verdict changed.
type VerdictCause string

// The causes. What a change of the rule alone does is not recorded.
const (
	// NewTests: tests of the product were logged by hand.
	NewTests VerdictCause = "new tests"
	// LogChanged: tests were withdrawn, restored, imported or merged, a class or an instrument was corrected, or a
	// trainer looked at a set-up.
	LogChanged VerdictCause = "log changed"
	// SpreadLearned: the same tests were weighed with another spread.
	SpreadLearned VerdictCause = "spread learned"
)

// VerdictChanges returns the changes recorded since a time, the oldest first, without those
// found by another computation. It first brings the estimates up to date.
func (g *Group) VerdictChanges(ctx context.Context, since time.Time) (changes []VerdictChange, err error) {
	defer wrap(&err, "verdict changes")
	if err := g.bringUpToDate(ctx, wait); err != nil {
		return nil, err
	}
	return resultOf(ctx, g.store.snapshot, func(q querier) ([]VerdictChange, error) {
		return collectNamed(ctx, g, q, func(v *Vocabulary, rows *sql.Rows, c *VerdictChange) (err error) {
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
	})
}

// BringUpToDate does ahead of time what answers would have to wait for: it makes anew the
// estimates that another computation made or whose log has changed, and what was said by
// another rule.
func (g *Group) BringUpToDate(ctx context.Context) (err error) {
	defer wrap(&err, "bring %q up to date", g.ref)
	return g.bringUpToDate(ctx, wait)
}

// behind is a product whose estimate was made from another log or spread than the present
// one, or of which something was said by another rule.
type behind struct {
	product int64
	current bool // the estimate is up to date, and only the rule has changed
}

// bringUpToDate makes every estimate anew that is behind. In haste, what takes longer goes
// on in the background.
func (g *Group) bringUpToDate(ctx context.Context, h haste) error {
	all, err := database.Collect(ctx, g.store.look(), func(rows *sql.Rows, b *behind) error {
		return rows.Scan(&b.product, &b.current)
	}, `
		SELECT p.id, CASE WHEN e.product_id IS NULL THEN 0 ELSE 1 END
		FROM products p
		JOIN communities c ON c.id = p.community_id
		LEFT JOIN estimates e ON e.product_id = p.id
		     AND e.log_version = p.log_version AND e.spread_version = c.spread_version AND e.model = ?
		WHERE p.community_id = ?
		      AND (e.product_id IS NULL
		               AND (p.kept_tests > 0 OR p.id IN (SELECT product_id FROM verdicts WHERE community_id = ?))
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

// keepVerdicts stores what a new estimate says of each tested combination of the product,
// and what has changed.
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
			continue // tests and rule have both changed, and either may be the cause
		}
		if after := now[k]; was.state != after.state {
			if err := g.addVerdictChange(ctx, q, k, was.state, after.state, cause, after.tests); err != nil {
				return err
			}
		}
	}
	return nil
}

// causeOf returns why verdicts of a product changed. The cause is not known if another
// computation made the previous estimate, or if that is older than these records. So a
// change of the method is not told as a change of every combination.
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
	return q.do(ctx, `
		INSERT INTO verdict_changes (community_id, product_id, instrument_id, syringe_id, before, after, cause,
		                             kept_tests, changed_at, model)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		g.id, k.product, k.instrument, k.syringe, before, after, cause, tests, formatTime(g.store.now()), estimateModel)
}

// bothKeys returns the combinations in either map, in a fixed order.
func bothKeys(a, b map[combinationKey]saidBy) []combinationKey {
	all := maps.Clone(a)
	maps.Copy(all, b)
	return slices.SortedFunc(maps.Keys(all), func(a, b combinationKey) int {
		return cmp.Or(cmp.Compare(a.product, b.product), cmp.Compare(a.instrument, b.instrument),
			cmp.Compare(a.syringe, b.syringe))
	})
}
