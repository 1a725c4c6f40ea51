package knowledge

import (
	"context"
	"database/sql"
	"runtime"
	"slices"
	"sync"

	"holdbench/internal/calc"
	"holdbench/internal/database"
)

// appraisal is what one more test of a combination is worth, with what that depends on.
type appraisal struct {
	combination combinationKey
	logVersion  int64
	spread      int64 // version
	ceiling     calc.Seconds
	setup       calc.Setup
	worth       calc.Worth
}

// appraise fills in the worth of each combination. Stored appraisals that are still valid
// are used; the others are computed and stored. Combinations outside the model are left out.
func (g *Group) appraise(ctx context.Context, used []OpenCombination, ask question) (appraised []OpenCombination,
	err error) {
	kept, err := g.keptAppraisals(ctx, ask)
	if err != nil {
		return nil, err
	}
	var fresh []int // places in appraised
	for _, o := range used {
		setup, _, err := o.Combination.Setup()
		if err != nil {
			continue // the bore is not known: its measured value was removed, and the standard has none
		}
		a, ok := kept[keyOf(o.Combination)]
		if ok && a.setup == setup {
			o.Worth = a.worth
		} else {
			fresh = append(fresh, len(appraised))
		}
		appraised = append(appraised, o)
	}
	if len(fresh) == 0 {
		return appraised, nil
	}
	made, err := g.appraiseNow(ctx, appraised, fresh, ask)
	if err != nil {
		return nil, err
	}
	_ = g.keepAppraisals(ctx, made) // if the store is busy or full, they are computed again next time
	return appraised, nil
}

// keptAppraisals reads the stored appraisals that are valid for the present log, spread and
// ceiling.
func (g *Group) keptAppraisals(ctx context.Context, ask question) (map[combinationKey]appraisal, error) {
	rows, err := database.Collect(ctx, g.store.look(), func(rows *sql.Rows, a *appraisal) error {
		k := &a.combination
		return rows.Scan(&k.product, &k.instrument, &k.syringe, &a.setup.Tube.Bore, &a.setup.UnrecordedWall,
			&a.setup.Tube.Length, &a.setup.Gas,
			&a.worth.Now, &a.worth.Expected)
	}, `
		SELECT a.product_id, a.instrument_id, a.syringe_id, a.bore_m, a.unknown_wall, a.tube_m, a.gas_m3,
		       a.worth_now, a.worth_expected
		FROM appraisals a
		JOIN products p ON p.community_id = a.community_id AND p.id = a.product_id AND p.log_version = a.log_version
		JOIN communities c ON c.id = a.community_id AND c.spread_version = a.spread_version
		WHERE a.community_id = ? AND a.model = ? AND a.ceiling_s = ?`, g.id, estimateModel, float64(ask.rule.Ceiling))
	kept := make(map[combinationKey]appraisal, len(rows))
	for _, a := range rows {
		kept[a.combination] = a
	}
	return kept, err
}

// appraiseNow appraises the combinations in these places, product by product, on all
// processors. Combinations of one product must be side by side.
func (g *Group) appraiseNow(ctx context.Context, open []OpenCombination, places []int, ask question) ([]appraisal,
	error) {
	byProduct := make(chan []int)
	var workers sync.WaitGroup
	var mu sync.Mutex
	var made []appraisal
	var fault error
	for range runtime.GOMAXPROCS(0) {
		workers.Go(func() {
			for some := range byProduct {
				appraisals, err := g.appraiseProduct(ctx, open, some, ask)
				mu.Lock()
				made = append(made, appraisals...)
				if fault == nil {
					fault = err
				}
				mu.Unlock()
			}
		})
	}
	product := func(place int) int64 { return open[place].Combination.Product.ID }
	for len(places) > 0 {
		n := slices.IndexFunc(places, func(place int) bool { return product(place) != product(places[0]) })
		if n < 0 {
			n = len(places)
		}
		byProduct <- places[:n]
		places = places[n:]
	}
	close(byProduct)
	workers.Wait()
	return made, fault
}

// appraiseProduct appraises combinations of one product.
func (g *Group) appraiseProduct(ctx context.Context, open []OpenCombination, places []int,
	ask question) (made []appraisal, err error) {
	file, err := g.productFile(ctx, open[places[0]].Combination.Product.ID, goBy)
	if err != nil {
		return nil, err
	}
	for _, place := range places {
		o := &open[place]
		if ask.setup, _, err = o.Combination.Setup(); err != nil {
			return nil, err
		}
		r, err := file.reading(ask)
		if err != nil {
			return nil, err
		}
		if o.Worth, err = r.worth(); err != nil {
			return nil, err
		}
		if !file.behind {
			made = append(made, appraisal{keyOf(o.Combination), file.logVersion, file.spread.Version, ask.rule.Ceiling,
				ask.setup, o.Worth})
		}
	}
	return made, nil
}

func (g *Group) keepAppraisals(ctx context.Context, made []appraisal) error {
	return g.store.inTx(ctx, func(q querier) error {
		for _, a := range made {
			k, tube := a.combination, a.setup.Tube
			if err := q.do(ctx, `
				INSERT INTO appraisals (community_id, product_id, instrument_id, syringe_id, log_version, model,
				                        spread_version, ceiling_s, bore_m, unknown_wall, tube_m, gas_m3, worth_now,
				                        worth_expected)
				VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
				ON CONFLICT (product_id, instrument_id, syringe_id) DO UPDATE SET
					log_version = excluded.log_version, model = excluded.model,
					spread_version = excluded.spread_version, ceiling_s = excluded.ceiling_s,
					bore_m = excluded.bore_m, unknown_wall = excluded.unknown_wall, tube_m = excluded.tube_m, gas_m3 = excluded.gas_m3,
					worth_now = excluded.worth_now, worth_expected = excluded.worth_expected`,
				g.id, k.product, k.instrument, k.syringe, a.logVersion, estimateModel, a.spread, float64(a.ceiling),
				float64(tube.Bore), a.setup.UnrecordedWall, float64(tube.Length), float64(a.setup.Gas), a.worth.Now,
				a.worth.Expected); err != nil {
				return err
			}
		}
		return nil
	})
}
