package knowledge

import (
	"context"
	"database/sql"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// CoveredCombination is a combination that was tested or that members hold.
type CoveredCombination struct {
	Combination trade.Combination
	Tests       int        // kept tests, 0 untested
	State       calc.State // at the usual pull and by the community's rule; "" for untested
	Holders     int        // members who hold it
}

// Coverage returns every combination with kept tests, in the order of Tested, and then the
// untested combinations in stock, those held by most members first. It first brings the
// estimates up to date.
func (g *Group) Coverage(ctx context.Context) (covered []CoveredCombination, err error) {
	defer wrap(&err, "coverage")
	if err := g.bringUpToDate(ctx, goBy); err != nil {
		return nil, err
	}
	tested, err := g.testedWithVerdicts(ctx)
	if err != nil {
		return nil, err
	}
	places := make(map[combinationKey]int, len(tested))
	for i, t := range tested {
		if !t.settled {
			e, err := g.Evidence(ctx, t.Combination, calc.DefaultPull)
			if err != nil {
				return nil, err
			}
			t.Tests, t.State = e.Counts.Run, e.State
		}
		places[keyOf(t.Combination)] = i
		covered = append(covered, t.CoveredCombination)
	}
	stocked, err := g.Stocked(ctx)
	for _, s := range stocked {
		if at, tested := places[keyOf(s.Combination)]; tested {
			covered[at].Holders = s.Holders
			continue
		}
		covered = append(covered, CoveredCombination{Combination: s.Combination, Holders: s.Holders})
	}
	return covered, err
}

// testedRow is a tested combination with what is stored about it. settled is false if that
// was said by another rule, or if the log has changed since.
type testedRow struct {
	CoveredCombination
	settled bool
}

func (g *Group) testedWithVerdicts(ctx context.Context) (tested []testedRow, err error) {
	return resultOf(ctx, g.store.snapshot, func(q querier) ([]testedRow, error) {
		return collectNamed(ctx, g, q, func(v *Vocabulary, rows *sql.Rows, t *testedRow) (err error) {
			var k combinationKey
			if err := rows.Scan(&k.product, &k.instrument, &k.syringe, &t.Tests, &t.State, &t.settled); err != nil {
				return err
			}
			t.Combination, err = v.combination(k)
			return err
		}, `
			SELECT t.product_id, t.instrument_id, t.syringe_id, t.kept_tests, COALESCE(v.state, ''),
			       CASE WHEN e.product_id IS NOT NULL AND `+sameRule+` THEN 1 ELSE 0 END
			FROM tested_combinations t
			JOIN communities c ON c.id = t.community_id
			JOIN products p ON p.community_id = t.community_id AND p.id = t.product_id
			LEFT JOIN verdicts v ON v.community_id = t.community_id AND v.product_id = t.product_id
			     AND v.instrument_id = t.instrument_id AND v.syringe_id = t.syringe_id
			LEFT JOIN estimates e ON e.community_id = t.community_id AND e.product_id = t.product_id
			     AND e.log_version = p.log_version AND e.spread_version = c.spread_version AND e.model = ?
			WHERE t.community_id = ? AND t.kept_tests > 0
			ORDER BY t.product_id, t.instrument_id, t.syringe_id`, estimateModel, g.id)
	})
}
