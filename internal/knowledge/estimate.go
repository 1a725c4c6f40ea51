package knowledge

import (
	"context"
	"database/sql"
	"errors"

	"holdbench/internal/calc"
)

// estimateModel is the version of the computation that makes estimates. It is stored with
// every estimate and every appraisal. Raise it whenever calc or WatchSeconds would give
// another answer for the same tests: every estimate is then made anew when next needed.
const estimateModel = 4

// productFile is what is known of one product at one version of its log: its kept tests and
// the estimate from them. It is shared and never changed, except that its readings grow.
type productFile struct {
	logVersion        int64
	vocabularyVersion int64            // of the names in tests
	spreadVersion     int64            // in force when the tests were read
	spread            GroupSpread      // of the estimate
	tested            []*testedFile    // in the order first tested
	hands             map[int64]string // the platform's ids of the members who made the tests
	class             calc.GelClass
	estimate          *calc.Estimate
	behind            bool      // the estimate is the previous one: the tests have changed since
	readings          *readings // of the estimate
}

// versions are those that an answer must be based on to be up to date.
type versions struct{ log, vocabulary, spread int64 }

func (f *productFile) versions() versions {
	return versions{f.logVersion, f.vocabularyVersion, f.spreadVersion}
}

// isAtLeast reports whether these are as new as wanted, or newer.
func (v versions) isAtLeast(want versions) bool {
	return v.log >= want.log && v.vocabulary >= want.vocabulary && v.spread >= want.spread
}

// tests returns how many kept tests the product has.
func (f *productFile) tests() (n int) {
	for _, t := range f.tested {
		n += t.tests
	}
	return n
}

// productFile returns what is known of a product, as of now or later.
func (g *Group) productFile(ctx context.Context, product int64, h haste) (*productFile, error) {
	want, err := g.versions(ctx, g.store.look(), product)
	if err != nil {
		return nil, err
	}
	return g.productFileAt(ctx, product, want, h)
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

// readProductFile reads tests and estimate in one snapshot. The file has no estimate if the
// stored one is of another version of the log or another spread, was made by another
// computation, or cannot be decoded. previous is the file with that stored estimate, if the
// same computation made it. latest is a file in memory, nil for the cached one.
func (g *Group) readProductFile(ctx context.Context, product int64, latest *productFile) (file, previous *productFile,
	err error) {
	file = &productFile{}
	err = g.store.snapshot(ctx, func(q querier) error {
		v, err := g.versions(ctx, q, product)
		if err != nil {
			return err
		}
		file.logVersion, file.vocabularyVersion, file.spreadVersion = v.log, v.vocabulary, v.spread
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
		if previous, err = g.grow(ctx, q, product, latest, file); previous != nil || err != nil {
			return err
		}
		if file.tested, file.hands, err = g.readTested(ctx, q, product); err != nil {
			return err
		}
		previous, err = g.readEstimate(ctx, q, product, file)
		return err
	})
	return file, previous, err
}

// grow fills in a file's tests from the latest file in memory, if that lacks only tests that this program has logged
// since. It returns the file with the estimate of the latest one, which is at least as new as the stored one and has
// made its slips; nil if the store has to be read, as when another program has made an estimate.
func (g *Group) grow(ctx context.Context, q querier, product int64, latest, file *productFile) (previous *productFile,
	err error) {
	kept, there := g.store.files.Get(product)
	if latest == nil || there && kept.estimate != latest.estimate {
		latest = kept
	}
	if latest == nil {
		return nil, nil
	}
	added := g.store.added.since(g.id, product, latest.logVersion, file.logVersion)
	if added == nil {
		return nil, nil
	}
	log, spread, err := g.estimateStandsOn(ctx, q, product)
	if err != nil || log == file.logVersion && spread == file.spread.Version {
		return nil, err
	}
	v, err := g.vocabulary(ctx, q)
	if err != nil || !file.grownFrom(latest, added, v) {
		return nil, err
	}
	previous = file.withoutEstimate()
	previous.estimate, previous.readings, previous.spread = latest.estimate, latest.readings, latest.spread
	previous.behind = true
	return previous, nil
}

// estimateStandsOn returns the versions of log and spread that the stored estimate was made from; −1 for none.
func (g *Group) estimateStandsOn(ctx context.Context, q querier, product int64) (log, spread int64, err error) {
	err = q.Row(ctx, `
		SELECT log_version, spread_version FROM estimates
		WHERE community_id = ? AND product_id = ? AND model = ?`, g.id, product, estimateModel,
	).Scan(&log, &spread)
	if errors.Is(err, sql.ErrNoRows) {
		return -1, -1, nil
	}
	return log, spread, err
}

// readEstimate puts the stored estimate into the file if it was made from the file's tests
// and spread, and otherwise into a copy, which it returns.
func (g *Group) readEstimate(ctx context.Context, q querier, product int64, file *productFile) (previous *productFile,
	err error) {
	var stored []byte
	var log, spread int64
	err = q.Row(ctx, `
		SELECT estimate, log_version, spread_version FROM estimates
		WHERE community_id = ? AND product_id = ? AND model = ?`, g.id, product, estimateModel,
	).Scan(&stored, &log, &spread)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	estimate := new(calc.Estimate)
	if estimate.UnmarshalBinary(stored) != nil {
		return nil, nil
	}
	if log == file.logVersion && spread == file.spread.Version {
		file.take(estimate)
		return nil, nil
	}
	previous = file.withoutEstimate()
	previous.take(estimate)
	previous.behind = true
	previous.spread, err = g.spreadAt(ctx, q, spread)
	return previous, err
}

// take gives the file an estimate without readings.
func (f *productFile) take(estimate *calc.Estimate) { f.estimate, f.readings = estimate, new(readings) }

// withoutEstimate returns a file with the same tests and no estimate.
func (f *productFile) withoutEstimate() *productFile {
	return &productFile{logVersion: f.logVersion, vocabularyVersion: f.vocabularyVersion,
		spreadVersion: f.spreadVersion, spread: f.spread, class: f.class, hands: f.hands, tested: f.tested}
}

// estimateNow computes the estimate of a product file and stores it. If the store is busy or
// full the estimate is used all the same, and is computed again next time.
//
// If both log and spread have changed since the stored estimate, the new log is first
// weighed with the old spread, so that the news names the right cause of each change.
func (g *Group) estimateNow(ctx context.Context, product int64, file *productFile) error {
	if spread, both := g.spreadBefore(ctx, product, file); both {
		halfway := file.withoutEstimate()
		halfway.spread = spread
		if err := g.estimateAndKeep(ctx, product, halfway); err != nil {
			return err
		}
	}
	return g.estimateAndKeep(ctx, product, file)
}

func (g *Group) estimateAndKeep(ctx context.Context, product int64, file *productFile) error {
	estimate, tested, err := fit(file.class, file.tested, file.spread.Spread)
	if err != nil {
		return err
	}
	file.take(estimate)
	file.tested = tested
	stored, err := estimate.MarshalBinary()
	if err != nil {
		return err
	}
	_ = g.keepEstimate(ctx, product, file, stored)
	return nil
}

// spreadBefore returns the spread of the stored estimate, if that was made from another log
// and another spread than the file.
func (g *Group) spreadBefore(ctx context.Context, product int64, file *productFile) (before GroupSpread, both bool) {
	q := g.store.look()
	log, spread, err := g.estimateStandsOn(ctx, q, product)
	if err != nil || log < 0 || log == file.logVersion || spread == file.spread.Version {
		return GroupSpread{}, false // no stored estimate, or only one of the two has changed
	}
	before, err = g.spreadAt(ctx, q, spread)
	return before, err == nil
}

// slipKept is the least probability of a slip that is stored; below it counts as 0. For
// nearly all tests of a long log no slip is then stored or changed.
const slipKept = 0.01

// fit computes an estimate, and returns the combinations with the probability that each test is a slip. The model takes
// combinations with the same set-up as one.
func fit(class calc.GelClass, tested []*testedFile, spread calc.Spread) (estimate *calc.Estimate, flagged []*testedFile,
	err error) {
	var setups []calc.TestedSetup
	at := make(map[calc.Setup]int)    // set-up → index in setups
	first := make([]int, len(tested)) // where the tests of each begin in its set-up's
	for i, one := range tested {
		n, seen := at[one.setup]
		if !seen {
			n = len(setups)
			at[one.setup] = n
			setups = append(setups, calc.TestedSetup{Setup: one.setup})
		}
		first[i] = len(setups[n].Trials)
		for test := range one.list.All() {
			setups[n].Trials = append(setups[n].Trials, test.Trial)
		}
	}
	if estimate, err = calc.Fit(class, setups, spread); err != nil {
		return nil, nil, err
	}
	for i, one := range tested {
		flagged = append(flagged, one.withSlips(estimate.Slips(one.setup)[first[i]:]))
	}
	return estimate, flagged, nil
}
