package knowledge

import "context"

// keepEstimate stores an estimate with its slips and verdicts, unless the log has changed or
// the stored one was made from a newer spread.
func (g *Group) keepEstimate(ctx context.Context, product int64, file *productFile, stored []byte) error {
	rule, err := g.holdRule(ctx, g.store.look())
	if err == nil {
		_, err = file.sayAll(rule) // computed here, and cached, so that no writer waits for it
	}
	if err != nil {
		return err
	}
	return g.store.inTx(ctx, func(q querier) error {
		v, err := g.versions(ctx, q, product)
		if err != nil || v.log != file.logVersion {
			return err
		}
		before, err := g.saidBefore(ctx, q, product) // before it is overwritten
		if err != nil || before.spread > file.spread.Version {
			return err
		}
		if err := g.keepVerdicts(ctx, q, product, file, before); err != nil {
			return err
		}
		var latest int64
		err = q.Row(ctx, `SELECT COALESCE(MAX(id), 0) FROM tests WHERE community_id = ?`, g.id).Scan(&latest)
		if err != nil {
			return err
		}
		if err := q.do(ctx, `
			INSERT INTO estimates (product_id, community_id, log_version, model, spread_version, computed_at, estimate,
			                       latest_test)
			VALUES (?, ?, ?, ?, ?, ?, ?, ?)
			ON CONFLICT (product_id) DO UPDATE SET
				log_version = excluded.log_version, model = excluded.model, spread_version = excluded.spread_version,
				computed_at = excluded.computed_at, estimate = excluded.estimate, latest_test = excluded.latest_test`,
			product, g.id, file.logVersion, estimateModel, file.spread.Version, formatTime(g.store.now()), stored,
			latest); err != nil {
			return err
		}
		if err := q.do(ctx, `
			DELETE FROM slips WHERE community_id = ? AND product_id = ?`, g.id, product); err != nil {
			return err
		}
		return g.keepSlips(ctx, q, product, file)
	})
}

func (g *Group) keepSlips(ctx context.Context, q querier, product int64, file *productFile) error {
	for _, one := range file.tested {
		for t := range one.list.All() {
			if t.Slip == 0 {
				continue
			}
			if err := q.do(ctx, `
				INSERT INTO slips (test_id, community_id, product_id, slip)
				VALUES (`+testRow+`, ?, ?, ?)`, g.id, t.ID, g.id, product, min(t.Slip, 1)); err != nil {
				return err
			}
		}
	}
	return nil
}
