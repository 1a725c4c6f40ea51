package knowledge

import (
	"cmp"
	"slices"
	"sync"
)

// addedTest is a test that this program has logged, as far as it counts, and the version of its product's log that it
// made.
type addedTest struct {
	community int64
	of        combinationKey
	version   int64
	test      CountedTest
}

// noteAdded has a test kept once what logs it is committed.
func (q querier) noteAdded(community int64, t BenchTest, version int64) error {
	if q.added == nil {
		return nil
	}
	// as far as the store is read: what was typed, and what is only shown, is left out
	test, err := BenchTest{ID: t.ID, Tester: t.Tester, TestedOn: t.TestedOn, PullML: t.PullML, WatchedS: t.WatchedS,
		Outcome: t.Outcome, Seconds: t.Seconds, Timing: t.Timing}.counted()
	if err == nil {
		*q.added = append(*q.added, addedTest{community, keyOf(t.Combination), version, test})
	}
	return err
}

// mostAdded is how many added tests are kept: what lies further back is read from the store.
const mostAdded = 1000

// addedTests are the tests that this program has logged last. A file in memory that lacks nothing but some of them
// need not be read anew: where many log, reading a large product anew for each of their tests takes a whole
// processor.
type addedTests struct {
	mu   sync.Mutex
	last []addedTest
}

// note keeps tests that have been committed.
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

// clear drops what is kept.
func (a *addedTests) clear() {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.last = nil
}

// since are the tests by which the log of a product went from one version to another; nil where something else than
// such tests happened in between.
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
		if tests[at].version != 0 { // a version that was made twice says nothing
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

// grownFrom fills in the tests of a file from another one's and those logged since; false where they have to be read.
func (f *productFile) grownFrom(before *productFile, added []addedTest, v *Vocabulary) bool {
	if before == nil || len(added) == 0 || before.vocabularyVersion != f.vocabularyVersion || before.class != f.class {
		return false
	}
	hands := make(map[int64]bool, before.testers)
	for _, one := range before.tested {
		for i := range one.list.all {
			hands[one.list.all[i].Trial.Hand] = true
		}
		f.tested = append(f.tested, one.withOwnSlips())
	}
	changed := make(map[*testedFile]bool)
	for _, t := range added {
		one, err := f.insert(t, v)
		if err != nil {
			f.tested = nil
			return false
		}
		changed[one], hands[t.test.Trial.Hand] = true, true
	}
	for one := range changed {
		one.list.all = slices.Clip(one.list.all)
		one.complete()
	}
	slices.SortFunc(f.tested, func(a, b *testedFile) int { return asLogged(a.list.all[0], b.list.all[0]) })
	f.testers = len(hands)
	return true
}

// insert puts a test where it stands among those of its combination. No trainer has looked at it yet.
func (f *productFile) insert(t addedTest, v *Vocabulary) (one *testedFile, err error) {
	if one = f.of(t.of); one == nil {
		if one, err = v.testedFile(t.of); err != nil {
			return nil, err
		}
		f.tested = append(f.tested, one)
	}
	one.looked = false
	at, _ := slices.BinarySearchFunc(one.list.all, t.test, asLogged)
	one.list.all = slices.Insert(one.list.all, at, t.test)
	return one, nil
}

// asLogged orders tests by day and then as they were logged.
func asLogged(a, b CountedTest) int {
	return cmp.Or(cmp.Compare(a.TestedOn, b.TestedOn), cmp.Compare(a.ID, b.ID))
}
