package knowledge

import (
	"context"
	"database/sql"
)

// content is what makes two tests the same as lines of a file. Seconds count by
// value: a spreadsheet that makes 5.70 into 5.7 has not made another test.
type content struct {
	combination                        combinationKey
	tester                             int64
	testedOn, liquid, timing, note     string
	liquidC, pullML, watchedS, seconds float64
	outcome                            Outcome
}

func (t BenchTest) content() content {
	return content{
		combination: t.Combination.key(), tester: t.Tester.ID,
		testedOn: t.TestedOn, liquid: t.Liquid, timing: t.Timing, note: t.Note,
		liquidC: t.LiquidC, pullML: t.PullML, watchedS: t.WatchedS, seconds: t.Seconds,
		outcome: t.Outcome,
	}
}

// contents returns how many tests of each content the community has, withdrawn
// ones among them: a file that is imported again must not bring them back.
func (g *Group) contents(ctx context.Context, q querier) (map[content]int, error) {
	found, err := collect(ctx, q, func(rows *sql.Rows, c *content) error {
		var seconds sql.NullFloat64
		k := &c.combination
		err := rows.Scan(&k.product, &k.instrument, &k.syringe, &c.tester, &c.testedOn, &c.liquid,
			&c.timing, &c.note, &c.liquidC, &c.pullML, &c.watchedS, &seconds, &c.outcome)
		c.seconds = seconds.Float64
		return err
	}, `
		SELECT product_id, instrument_id, syringe_id, tester_id, tested_on, liquid,
		       timing, note, liquid_c, pull_ml, watched_s, seconds, outcome
		FROM tests WHERE community_id = ?`, g.id)
	counts := make(map[content]int, len(found))
	for _, c := range found {
		counts[c]++
	}
	return counts, err
}
