package knowledge

import "context"

// FlaggedTest is a kept test that is likelier a slip than not.
type FlaggedTest struct {
	Test    BenchTest
	Checked *Check // the latest check, nil if nobody has looked
}

// Flagged returns the flagged tests, those that nobody has checked first, and the likeliest
// slips first among each. It first brings the estimates up to date.
func (g *Group) Flagged(ctx context.Context) (flagged []FlaggedTest, err error) {
	defer wrap(&err, "flagged tests")
	if err := g.bringUpToDate(ctx, goBy); err != nil {
		return nil, err
	}
	err = g.store.snapshot(ctx, func(q querier) error {
		tests, err := g.readTests(ctx, q, `
			t.community_id = ? AND t.state = 'kept' AND s.slip > ?
			ORDER BY CASE WHEN EXISTS (SELECT 1 FROM test_checks k
			                           WHERE k.community_id = t.community_id AND k.test_id = t.id) THEN 1 ELSE 0 END,
			         s.slip DESC, t.id`, g.id, flaggedAbove)
		if err != nil {
			return err
		}
		checks, err := g.checks(ctx, q)
		for _, t := range tests {
			f := FlaggedTest{Test: t}
			if c, ok := checks[t.ID]; ok {
				f.Checked = &c
			}
			flagged = append(flagged, f)
		}
		return err
	})
	return flagged, err
}
