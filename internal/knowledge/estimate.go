package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"slices"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// estimateModel names the computation that makes estimates. It is stored beside
// every estimate, and beside what another test is worth; raise it whenever calc
// or WatchSeconds would give another answer for the same tests, and every
// estimate is made anew when it is next asked for.
const estimateModel = 4

// productFile is what is known of one product at one version of its log: its
// kept tests and the estimate from them. It is shared and never changed,
// but for the answers it has given before.
type productFile struct {
	logVersion        int64
	vocabularyVersion int64 // of the names in tests
	spread            GroupSpread
	tests             []BenchTest
	lookedUpTo        map[combinationKey]int64 // Group.lookedUpTo
	tested            []testedCombination
	class             calc.GelClass
	estimate          *calc.Estimate
	readings          readings
}

// testedCombination is a combination that has kept tests of its product.
type testedCombination struct {
	combination trade.Combination
	setup       calc.Setup
	tests       int
}

// versions is what an answer must stand on to be up to date.
type versions struct{ log, vocabulary, spread int64 }

func (f *productFile) standsOn(v versions) bool {
	return f.logVersion == v.log && f.vocabularyVersion == v.vocabulary && f.spread.Version == v.spread
}

// isAtLeast reports whether the file is as new as wanted, or newer.
func (f *productFile) isAtLeast(v versions) bool {
	return f.logVersion >= v.log && f.vocabularyVersion >= v.vocabulary && f.spread.Version >= v.spread
}

// testers counts the members who made the tests.
func (f *productFile) testers() int {
	made := make(map[int64]bool)
	for _, t := range f.tests {
		made[t.Tester.ID] = true
	}
	return len(made)
}

// productFile returns what is known of a product, as of now or later.
func (g *Group) productFile(ctx context.Context, product int64) (*productFile, error) {
	want, err := g.versions(ctx, g.store.look(), product)
	if err != nil {
		return nil, err
	}
	return g.productFileAt(ctx, product, want)
}

func (g *Group) versions(ctx context.Context, q querier, product int64) (v versions, err error) {
	err = q.Row(ctx, `
		SELECT p.log_version, c.vocabulary_version, c.spread_version
		FROM products p
		JOIN communities c ON c.id = p.community_id
		WHERE p.community_id = ? AND p.id = ?`, g.id, product,
	).Scan(&v.log, &v.vocabulary, &v.spread)
	return v, err
}

// productFileAt returns what is known of a product at the versions wanted or
// later: from memory, from the store, or computed now. One caller computes, the
// others wait for it.
func (g *Group) productFileAt(ctx context.Context, product int64, want versions) (*productFile, error) {
	if file, ok := g.store.files.Get(product); ok && file.standsOn(want) {
		return file, nil
	}
	turn := &g.store.fitting[uint64(product)%fittingAtOnce]
	turn.Lock()
	defer turn.Unlock()
	if file, ok := g.store.files.Get(product); ok && file.isAtLeast(want) {
		return file, nil
	}
	file, err := g.readProductFile(ctx, product)
	if err != nil {
		return nil, err
	}
	if file.estimate == nil {
		if err := g.estimateNow(ctx, product, file); err != nil {
			return nil, err
		}
	}
	g.store.files.Put(product, file)
	return file, nil
}

// readProductFile reads tests and estimate as one snapshot. The estimate is nil
// if the one in the store stands on another version of the log or another
// spread, was made by another computation, or cannot be read.
func (g *Group) readProductFile(ctx context.Context, product int64) (*productFile, error) {
	file := &productFile{}
	err := g.store.snapshot(ctx, func(q querier) error {
		v, err := g.versions(ctx, q, product)
		if err != nil {
			return err
		}
		file.logVersion, file.vocabularyVersion = v.log, v.vocabulary
		if file.spread, err = g.spreadAt(ctx, q, v.spread); err != nil {
			return err
		}
		err = q.Row(ctx, `
			SELECT gel_class FROM products
			WHERE community_id = ? AND id = ?`, g.id, product,
		).Scan(&file.class)
		if err != nil {
			return err
		}
		file.tests, err = g.readTests(ctx, q, `
			t.community_id = ? AND t.product_id = ? AND t.state = 'kept'
			ORDER BY t.tested_on, t.id`, g.id, product)
		if err != nil {
			return err
		}
		if file.lookedUpTo, err = g.lookedUpTo(ctx, q, product); err != nil {
			return err
		}
		var stored []byte
		err = q.Row(ctx, `
			SELECT estimate FROM estimates
			WHERE community_id = ? AND product_id = ? AND log_version = ? AND model = ? AND spread_version = ?`,
			g.id, product, v.log, estimateModel, v.spread,
		).Scan(&stored)
		if errors.Is(err, sql.ErrNoRows) {
			return nil
		}
		if err != nil {
			return err
		}
		if estimate := new(calc.Estimate); estimate.UnmarshalBinary(stored) == nil {
			file.estimate = estimate
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	file.tested, err = countCombinations(file.tests)
	return file, err
}

// countCombinations returns the combinations of tests, in the order first seen.
func countCombinations(tests []BenchTest) (tested []testedCombination, err error) {
	at := make(map[combinationKey]int)
	for _, t := range tests {
		k := keyOf(t.Combination)
		i, seen := at[k]
		if !seen {
			setup, _, err := t.Combination.Setup()
			if err != nil {
				return nil, err
			}
			i = len(tested)
			at[k] = i
			tested = append(tested, testedCombination{combination: t.Combination, setup: setup})
		}
		tested[i].tests++
	}
	return tested, nil
}

// estimateNow computes the estimate of a product file and keeps it. That the
// store is busy or full is no reason not to answer: the answer then stands, and
// is computed again next time.
//
// Where both the log and the spread have moved on since the estimate before, the
// new log is weighed with the spread as it was first: what the tests changed must
// not be told as the spread's doing, nor the other way round.
func (g *Group) estimateNow(ctx context.Context, product int64, file *productFile) error {
	if before, both := g.spreadBefore(ctx, product, file); both {
		halfway := &productFile{logVersion: file.logVersion, vocabularyVersion: file.vocabularyVersion, spread: before,
			class: file.class, tests: slices.Clone(file.tests), lookedUpTo: file.lookedUpTo, tested: file.tested}
		if err := g.estimateAndKeep(ctx, product, halfway); err != nil {
			return err
		}
	}
	return g.estimateAndKeep(ctx, product, file)
}

func (g *Group) estimateAndKeep(ctx context.Context, product int64, file *productFile) error {
	var err error
	if file.estimate, err = fit(file.class, file.tests, file.spread.Spread); err != nil {
		return err
	}
	stored, err := file.estimate.MarshalBinary()
	if err != nil {
		return err
	}
	_ = g.keepEstimate(ctx, product, file, stored)
	return nil
}

// spreadBefore returns the spread of the estimate in the store, if that stands on
// another log and on another spread than the file.
func (g *Group) spreadBefore(ctx context.Context, product int64, file *productFile) (before GroupSpread, both bool) {
	q := g.store.look()
	var log, spread int64
	err := q.Row(ctx, `
		SELECT log_version, spread_version FROM estimates
		WHERE community_id = ? AND product_id = ? AND model = ?`, g.id, product, estimateModel,
	).Scan(&log, &spread)
	if err != nil || log == file.logVersion || spread == file.spread.Version {
		return GroupSpread{}, false // nothing there, or one cause alone
	}
	before, err = g.spreadAt(ctx, q, spread)
	return before, err == nil
}

// fit computes an estimate and writes into each test how likely it is a slip.
// Combinations that are the same set-up to the model are one to it.
func fit(class calc.GelClass, tests []BenchTest, spread calc.Spread) (*calc.Estimate, error) {
	var setups []calc.TestedSetup
	at := make(map[calc.Setup]int) // setup → index in setups
	members := make(map[int][]int) // index in setups → indexes in tests, in order
	for i, t := range tests {
		setup, _, err := t.Combination.Setup()
		if err != nil {
			return nil, err
		}
		trial, err := t.Trial()
		if err != nil {
			return nil, err
		}
		n, seen := at[setup]
		if !seen {
			n = len(setups)
			at[setup] = n
			setups = append(setups, calc.TestedSetup{Setup: setup})
		}
		setups[n].Trials = append(setups[n].Trials, trial)
		members[n] = append(members[n], i)
	}
	estimate, err := calc.Fit(class, setups, spread)
	if err != nil {
		return nil, err
	}
	for n, setup := range setups {
		for j, slip := range estimate.Slips(setup.Setup) {
			tests[members[n][j]].Slip = slip
		}
	}
	return estimate, nil
}

// keepEstimate stores an estimate and the slips, unless the log has moved on or
// the one in the store stands on a newer spread.
func (g *Group) keepEstimate(ctx context.Context, product int64, file *productFile, stored []byte) error {
	return g.store.inTx(ctx, func(q querier) error {
		v, err := g.versions(ctx, q, product)
		if err != nil || v.log != file.logVersion {
			return err
		}
		before, err := g.saidBefore(ctx, q, product) // while it is still there
		if err != nil || before.spread > file.spread.Version {
			return err
		}
		if err := g.keepVerdicts(ctx, q, product, file, before); err != nil {
			return err
		}
		var latest int64
		if err := q.Row(ctx, `SELECT COALESCE(MAX(id), 0) FROM tests WHERE community_id = ?`, g.id).Scan(&latest); err != nil {
			return err
		}
		if _, err := q.Exec(ctx, `
			INSERT INTO estimates (product_id, community_id, log_version, model, spread_version, computed_at, estimate, latest_test)
			VALUES (?, ?, ?, ?, ?, ?, ?, ?)
			ON CONFLICT (product_id) DO UPDATE SET
				log_version = excluded.log_version, model = excluded.model, spread_version = excluded.spread_version,
				computed_at = excluded.computed_at, estimate = excluded.estimate, latest_test = excluded.latest_test`,
			product, g.id, file.logVersion, estimateModel, file.spread.Version, formatTime(g.store.now()), stored, latest); err != nil {
			return err
		}
		if _, err := q.Exec(ctx, `
			DELETE FROM slips WHERE community_id = ? AND product_id = ?`, g.id, product); err != nil {
			return err
		}
		for _, t := range file.tests {
			if _, err := q.Exec(ctx, `
				INSERT INTO slips (test_id, community_id, product_id, slip)
				VALUES (`+testRow+`, ?, ?, ?)`, g.id, t.ID, g.id, product, min(max(t.Slip, 0), 1)); err != nil {
				return err
			}
		}
		return nil
	})
}
