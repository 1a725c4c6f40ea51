package knowledge

import (
	"context"

	"holdbench/internal/calc"
)

// A hold takes three tests by two members unless a community sets something else. This is
// the project's choice: nobody should rely on one pair of hands.
const (
	DefaultLeastTests   = 3
	DefaultLeastMembers = 2
	MaxLeast            = 50
)

// adviceMethod is the version of the way holds are advised. Raise it when that changes for
// everybody: each community is then told once.
const adviceMethod = 2

// ruleColumns are the columns of a rule, read by scanRule; c is the community.
const ruleColumns = `c.ceiling_s, c.target_share, c.least_tests, c.least_members`

// scanRule returns where ruleColumns are scanned to.
func scanRule(r *calc.HoldRule) []any {
	return []any{&r.Ceiling, &r.Target, &r.LeastTests, &r.LeastMembers}
}

// ruleValues returns the values of a rule to store, in the order of ruleColumns.
func ruleValues(r calc.HoldRule) []any {
	return []any{float64(r.Ceiling), r.Target, r.LeastTests, r.LeastMembers}
}

// sameRule is true of a row v whose rule is that of its community c.
const sameRule = `v.ceiling_s = c.ceiling_s AND v.target_share = c.target_share
	AND v.least_tests = c.least_tests AND v.least_members = c.least_members`

// holdRule returns what the community asks of a hold.
func (g *Group) holdRule(ctx context.Context, q querier) (r calc.HoldRule, err error) {
	err = q.Row(ctx, `SELECT `+ruleColumns+` FROM communities c WHERE c.id = ?`, g.id).Scan(scanRule(&r)...)
	return r, err
}

// MethodChanged reports whether the community has tests and began with an earlier way of
// advising holds, and which way is in force now.
func (g *Group) MethodChanged(ctx context.Context) (now int, changed bool, err error) {
	defer wrap(&err, "method of %q", g.ref)
	var first, tests int
	err = g.store.look().Row(ctx, `
		SELECT c.first_method, COALESCE((SELECT SUM(p.kept_tests) FROM products p WHERE p.community_id = c.id), 0)
		FROM communities c WHERE c.id = ?`, g.id).Scan(&first, &tests)
	return adviceMethod, first < adviceMethod && tests > 0, err
}
