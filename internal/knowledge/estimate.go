package knowledge

import (
	"context"
	"database/sql"
	"errors"

	"holdbench/internal/calc"
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
	vocabularyVersion int64         // of the names in tests
	spreadVersion     int64         // in force when the tests were read
	spread            GroupSpread   // of the estimate
	tested            []*testedFile // in the order first seen
	testers           int           // members who made the tests
	class             calc.GelClass
	estimate          *calc.Estimate
	behind            bool // the estimate is the one before: the tests have changed since
	readings          readings
}

// versions is what an answer must stand on to be up to date.
type versions struct{ log, vocabulary, spread int64 }

func (f *productFile) versions() versions {
	return versions{f.logVersion, f.vocabularyVersion, f.spreadVersion}
}

// isAtLeast reports whether these are as new as wanted, or newer.
func (v versions) isAtLeast(want versions) bool {
	return v.log >= want.log && v.vocabulary >= want.vocabulary && v.spread >= want.spread
}

// tests is how many kept tests there are.
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

// readProductFile reads tests and estimate as one snapshot. The file has no estimate if
// the one in the store stands on another version of the log or another spread, was made
// by another computation, or cannot be read. before is the file with that other one, if
// the same computation made it.
func (g *Group) readProductFile(ctx context.Context, product int64) (file, before *productFile, err error) {
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
		latest, grown, err := g.grow(ctx, q, product, file)
		if err != nil {
			return err
		}
		if !grown {
			if file.tested, file.testers, err = g.readTested(ctx, q, product); err != nil {
				return err
			}
		}
		before, err = g.readEstimate(ctx, q, product, file)
		if grown && file.estimate == nil { // the one in memory is as late as the one stored, or later, and the slips are its
			before = file.withoutEstimate()
			before.estimate, before.spread, before.behind = latest.estimate, latest.spread, true
		}
		return err
	})
	return file, before, err
}

// grow fills in the tests of a file from the latest one in memory, where that lacks nothing but tests that this
// program has logged since.
func (g *Group) grow(ctx context.Context, q querier, product int64, file *productFile) (latest *productFile, grown bool,
	err error) {
	latest, there := g.store.files.Get(product)
	if !there {
		return nil, false, nil
	}
	added := g.store.added.since(g.id, product, latest.logVersion, file.logVersion)
	if added == nil {
		return nil, false, nil
	}
	v, err := g.vocabulary(ctx, q)
	if err != nil {
		return nil, false, err
	}
	return latest, file.grownFrom(latest, added, v), nil
}

// readEstimate puts the stored estimate into the file if it stands on the file's tests
// and spread, and otherwise into a copy.
func (g *Group) readEstimate(ctx context.Context, q querier, product int64, file *productFile) (before *productFile,
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
		file.estimate = estimate
		return nil, nil
	}
	before = file.withoutEstimate()
	before.estimate, before.behind = estimate, true
	before.spread, err = g.spreadAt(ctx, q, spread)
	return before, err
}

// withoutEstimate is a copy of the file with the same tests and no estimate.
func (f *productFile) withoutEstimate() *productFile {
	same := &productFile{logVersion: f.logVersion, vocabularyVersion: f.vocabularyVersion,
		spreadVersion: f.spreadVersion, spread: f.spread, class: f.class, testers: f.testers}
	for _, t := range f.tested {
		same.tested = append(same.tested, t.withOwnSlips())
	}
	return same
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
		halfway := file.withoutEstimate()
		halfway.spread = before
		if err := g.estimateAndKeep(ctx, product, halfway); err != nil {
			return err
		}
	}
	return g.estimateAndKeep(ctx, product, file)
}

func (g *Group) estimateAndKeep(ctx context.Context, product int64, file *productFile) error {
	var err error
	if file.estimate, err = fit(file.class, file.tested, file.spread.Spread); err != nil {
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

// slipKept is the probability of a slip below which a test is no slip at all: of nearly
// all tests of a long log nothing is stored beside the test, and nothing is to be changed.
const slipKept = 0.01

// fit computes an estimate and writes into each test how likely it is a slip.
// Combinations that are the same set-up to the model are one to it.
func fit(class calc.GelClass, tested []*testedFile, spread calc.Spread) (*calc.Estimate, error) {
	var setups []calc.TestedSetup
	at := make(map[calc.Setup]int)          // set-up → index in setups
	members := make(map[int][]*CountedTest) // index in setups → its tests, in order
	for _, one := range tested {
		n, seen := at[one.setup]
		if !seen {
			n = len(setups)
			at[one.setup] = n
			setups = append(setups, calc.TestedSetup{Setup: one.setup})
		}
		for i := range one.list.all {
			test := &one.list.all[i]
			setups[n].Trials, members[n] = append(setups[n].Trials, test.Trial), append(members[n], test)
		}
	}
	estimate, err := calc.Fit(class, setups, spread)
	if err != nil {
		return nil, err
	}
	for n, setup := range setups {
		for j, slip := range estimate.Slips(setup.Setup) {
			if slip < slipKept {
				slip = 0
			}
			members[n][j].Slip = slip
		}
	}
	for _, one := range tested {
		one.flag()
	}
	return estimate, nil
}
