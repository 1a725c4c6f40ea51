package knowledge

import (
	"cmp"
	"maps"
	"slices"
	"sync"
)

// addedTest is a test that this program has logged, and the version of its product's log that it made.
type addedTest struct {
	community int64
	of        combinationKey
	version   int64
	test      CountedTest
}

// noteAdded keeps a test in memory once its transaction is committed.
func (q querier) noteAdded(community int64, t BenchTest, version int64) error {
	if q.added == nil {
		return nil
	}
	// only what countedRows would read of it
	test, err := BenchTest{ID: t.ID, Tester: t.Tester, TestedOn: t.TestedOn, PullML: t.PullML, WatchedS: t.WatchedS,
		Outcome: t.Outcome, Seconds: t.Seconds, Timing: t.Timing}.counted()
	if err == nil {
		*q.added = append(*q.added, addedTest{community, keyOf(t.Combination), version, test})
	}
	return err
}

// mostAdded is how many added tests are kept in memory; older ones are read from the store.
const mostAdded = 1000

// addedTests are the tests that this program has logged last. A product file in memory that lacks only some of them
// is not read anew: when many members log, reading a large product for each test would take a whole processor.
type addedTests struct {
	mu   sync.Mutex
	last []addedTest
}

// note adds committed tests.
func (a *addedTests) note(tests []addedTest) {
	if len(tests) == 0 {
		return
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	a.last = append(a.last, tests...)
	if over := len(a.last) - mostAdded; over > 0 {
		a.last = slices.Delete(a.last, 0, over)
	}
}

// clear drops all.
func (a *addedTests) clear() {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.last = nil
}

// since returns the tests that took a product's log from one version to another; nil if anything else changed the log
// in between.
func (a *addedTests) since(community, product, from, to int64) []addedTest {
	a.mu.Lock()
	defer a.mu.Unlock()
	if to <= from || to-from > mostAdded {
		return nil
	}
	tests, found := make([]addedTest, to-from), int64(0)
	for _, added := range a.last {
		at := added.version - from - 1
		if added.community != community || added.of.product != product || at < 0 || at >= to-from {
			continue
		}
		if tests[at].version != 0 { // two tests claim one version: read the store
			return nil
		}
		tests[at] = added
		found++
	}
	if found != to-from {
		return nil
	}
	return tests
}

// grownFrom fills in a file's tests from those of an earlier file and the tests added since; false if they have to be
// read from the store. The files share the combinations without a new test.
func (f *productFile) grownFrom(before *productFile, added []addedTest, v *Vocabulary) bool {
	if before.vocabularyVersion != f.vocabularyVersion || before.class != f.class {
		return false
	}
	tested, hands := slices.Clone(before.tested), maps.Clone(before.hands)
	longer := make(map[combinationKey]*testedFile)
	for _, t := range added {
		one := longer[t.of]
		if one == nil {
			at := slices.IndexFunc(tested, func(one *testedFile) bool { return keyOf(one.combination) == t.of })
			if at < 0 {
				empty, err := v.testedFile(t.of)
				if err != nil {
					return false
				}
				at, tested = len(tested), append(tested, empty)
			}
			one = tested[at].toChange()
			tested[at], longer[t.of] = one, one
		}
		at, _ := slices.BinarySearchFunc(one.list.all, t.test, asLogged)
		one.list.all = slices.Insert(one.list.all, at, t.test)
		hands[t.test.Trial.Hand] = t.test.TesterRef
	}
	for _, one := range longer {
		one.list.all = slices.Clip(one.list.all)
		one.complete()
	}
	slices.SortFunc(tested, func(a, b *testedFile) int { return asLogged(a.list.all[0], b.list.all[0]) })
	f.tested, f.hands = tested, hands
	return true
}

// toChange returns a copy with room for one more test, at which no trainer has looked.
func (t *testedFile) toChange() *testedFile {
	own := &testedFile{testedCombination: t.testedCombination}
	own.list.all = append(make([]CountedTest, 0, t.list.Len()+1), t.list.all...)
	return own
}

// asLogged orders tests by day and then as they were logged.
func asLogged(a, b CountedTest) int {
	return cmp.Or(cmp.Compare(a.TestedOn, b.TestedOn), cmp.Compare(a.ID, b.ID))
}
