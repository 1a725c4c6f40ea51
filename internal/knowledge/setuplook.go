package knowledge

import (
	"context"
	"database/sql"
	"time"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// LookedAct is that a trainer has looked at a set-up that is unlike the gel's others.
const LookedAct Action = "looked at"

// SetupLook says who has looked at the set-up of a combination, and when.
type SetupLook struct {
	Combination trade.Combination
	By          Member
	At          time.Time
}

// LookAtSetup records that somebody has looked at a tested combination's set-up and found
// that it is what the log says. It counts until the next test of the combination.
//
// Errors: *FieldError; ErrNotFound for a combination without tests, or a member
// that is not there.
func (g *Group) LookAtSetup(ctx context.Context, c trade.Combination, by Member) (l SetupLook, err error) {
	defer wrap(&err, "look at a set-up")
	l = SetupLook{At: g.store.now().UTC().Truncate(timeStep)}
	err = g.store.inTx(ctx, func(q querier) error {
		v, err := g.vocabulary(ctx, q)
		if err != nil {
			return err
		}
		if l.Combination, err = v.place(c); err != nil {
			return err
		}
		if l.By, err = g.resolveMember(ctx, q, by); err != nil {
			return err
		}
		return g.addLook(ctx, q, l)
	})
	if err != nil {
		return SetupLook{}, err
	}
	_, _ = g.productFile(ctx, l.Combination.Product.ID, leaveIt) // if it fails, the next question does it
	return l, nil
}

// addLook stores a look, and has the product's estimate made anew.
func (g *Group) addLook(ctx context.Context, q querier, l SetupLook) error {
	k := keyOf(l.Combination)
	var tests, latest int64
	err := q.Row(ctx, `
		SELECT COALESCE(MAX(number), 0),
		       COALESCE(SUM(CASE WHEN product_id = ? AND instrument_id = ? AND syringe_id = ? AND state = 'kept'
		                         THEN 1 ELSE 0 END), 0)
		FROM tests WHERE community_id = ?`, k.product, k.instrument, k.syringe, g.id,
	).Scan(&latest, &tests)
	if err == nil && tests == 0 {
		err = sql.ErrNoRows
	}
	if err != nil {
		return err
	}
	if err := q.do(ctx, `
		INSERT INTO setup_looks (community_id, product_id, instrument_id, syringe_id, member_id, looked_at, latest_test)
		VALUES (?, ?, ?, ?, ?, ?, ?)`, g.id, k.product, k.instrument, k.syringe, l.By.ID, formatTime(l.At), latest,
	); err != nil {
		return err
	}
	return q.do(ctx, `
		UPDATE products SET log_version = log_version + 1 WHERE community_id = ? AND id = ?`, g.id, k.product)
}

// lookedUpTo returns, for each combination of a product that a trainer has looked at, the
// number of the community's latest test at that time.
func (g *Group) lookedUpTo(ctx context.Context, q querier, product int64) (map[combinationKey]int64, error) {
	type look struct {
		k      combinationKey
		latest int64
	}
	looks, err := database.Collect(ctx, q, func(rows *sql.Rows, l *look) error {
		return rows.Scan(&l.k.instrument, &l.k.syringe, &l.latest)
	}, `
		SELECT instrument_id, syringe_id, MAX(latest_test)
		FROM setup_looks WHERE community_id = ? AND product_id = ?
		GROUP BY instrument_id, syringe_id`, g.id, product)
	upTo := make(map[combinationKey]int64, len(looks))
	for _, l := range looks {
		l.k.product = product
		upTo[l.k] = l.latest
	}
	return upTo, err
}
