package knowledge

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"holdbench/internal/calc"
)

// model is what a community knows, kept in plain maps by other code than the
// store's: what the store shows must be this, after every step.
type model struct {
	today   string
	names   map[int64][]string // of a product, the first in front
	class   map[int64]calc.GelClass
	stock   map[modelStock]string // → the day
	box     map[int]*modelItem    // by place
	rests   map[int]string        // a place → the day it was logged
	claims  map[int64]*modelClaim
	tests   map[int64]*modelTest
	moved   map[int64]int64 // a product that went into another → that other
	batches map[string]string
}

type modelStock struct {
	member string
	k      combinationKey
}

type modelItem struct {
	id     int64
	member string
	k      combinationKey
}

type modelClaim struct {
	k          combinationKey
	member     string
	taken, due string
	state      ClaimState
	closedBy   int64
	closedOn   string
}

type modelTest struct {
	k       combinationKey
	tester  string
	seconds float64
	state   State

	corrects int64 // the test that it stands in for; 0 for none
}

func newModel(today string) *model {
	return &model{today: today, names: map[int64][]string{}, class: map[int64]calc.GelClass{},
		stock: map[modelStock]string{},
		box:   map[int]*modelItem{}, rests: map[int]string{}, claims: map[int64]*modelClaim{},
		tests: map[int64]*modelTest{},
		moved: map[int64]int64{}, batches: map[string]string{}}
}

func (c *modelClaim) open() bool { return c.state == ClaimTaken || c.state == ClaimReminded }

// openClaim returns the open claim on a combination, nil if there is none.
func (m *model) openClaim(k combinationKey) *modelClaim {
	for _, c := range m.claims {
		if c.open() && c.k == k {
			return c
		}
	}
	return nil
}

// lapse closes the claims whose day is over: on one combination, or on all.
func (m *model) lapse(only *combinationKey) {
	for _, c := range m.claims {
		if c.open() && c.due < m.today && (only == nil || c.k == *only) {
			c.state, c.closedOn = ClaimLapsed, m.today
		}
	}
}

// log adds a test and closes the claim on what it tested.
func (m *model) log(id int64, test modelTest) {
	m.tests[id] = &test
	if c := m.openClaim(test.k); c != nil {
		c.state, c.closedBy, c.closedOn = ClaimLogged, id, m.today
	}
}

// freePlace is the lowest place in the box without an item, or one logged today.
func (m *model) freePlace() int {
	place := 1
	for m.box[place] != nil || m.rests[place] == m.today {
		place++
	}
	return place
}

// takenName reports whether a product other than this one goes by a name.
func (m *model) takenName(name string, not int64) bool {
	for product, names := range m.names {
		if product != not && slices.Contains(names, name) {
			return true
		}
	}
	return false
}

// merge puts one product into another.
func (m *model) merge(from, into int64) {
	move := func(k *combinationKey) {
		if k.product == from {
			k.product = into
		}
	}
	m.names[into] = append(m.names[into], m.names[from]...)
	delete(m.names, from)
	for stock, day := range maps.Clone(m.stock) {
		if stock.k.product != from {
			continue
		}
		delete(m.stock, stock)
		move(&stock.k)
		if known, both := m.stock[stock]; !both || day < known {
			m.stock[stock] = day
		}
	}
	for _, item := range m.box {
		move(&item.k)
	}
	for _, test := range m.tests {
		move(&test.k)
	}
	m.lapse(nil)
	ids := slices.SortedFunc(maps.Keys(m.claims), func(a, b int64) int {
		return cmp.Or(cmp.Compare(m.claims[a].taken, m.claims[b].taken), cmp.Compare(a, b))
	})
	stands := map[combinationKey]bool{}
	for _, id := range ids {
		c := m.claims[id]
		move(&c.k)
		if c.open() && stands[c.k] {
			c.state, c.closedOn = ClaimMerged, m.today
		}
		stands[c.k] = stands[c.k] || c.open()
	}
	m.moved[from] = into
	for old, now := range m.moved {
		if now == from {
			m.moved[old] = into
		}
	}
}

// kept counts the kept tests of every combination.
func (m *model) kept() map[combinationKey]int {
	counts := map[combinationKey]int{}
	for _, test := range m.tests {
		if test.state == Kept {
			counts[test.k]++
		}
	}
	return counts
}

// lines sorts what was written line by line.
func lines(parts []string) string {
	slices.Sort(parts)
	return strings.Join(parts, "\n")
}

// shown writes down all that the model knows.
func (m *model) shown() string {
	var parts []string
	add := func(format string, args ...any) { parts = append(parts, fmt.Sprintf(format, args...)) }
	for product, names := range m.names {
		add("product %d %s %s", product, m.class[product], strings.Join(names, "|"))
	}
	for stock, day := range m.stock {
		add("stock %s %v %s", stock.member, stock.k, day)
	}
	for place, item := range m.box {
		add("box %d: %d %s %v", place, item.id, item.member, item.k)
	}
	for id, c := range m.claims {
		if c.open() {
			add("claim %d %s %v %s", id, c.member, c.k, c.due)
		}
		if c.state == ClaimLogged && m.tests[c.closedBy].state == Kept {
			add("credit %d %s: %d", id, c.member, c.closedBy)
		}
	}
	for id, t := range m.tests {
		add("test %d %v %s %v %s", id, t.k, t.tester, t.seconds, t.state)
	}
	for k, n := range m.kept() {
		add("tested %v %d", k, n)
	}
	return lines(parts)
}

// shownBy writes down the same as the store tells it.
func shownBy(ctx context.Context, g *Group) (string, error) {
	var parts []string
	var faults []error
	add := func(format string, args ...any) { parts = append(parts, fmt.Sprintf(format, args...)) }
	fault := func(err error) { faults = append(faults, err) }
	products, err := g.Products(ctx)
	fault(err)
	for _, p := range products {
		add("product %d %s %s", p.ID, p.Class, strings.Join(append([]string{p.Name}, p.Aliases...), "|"))
	}
	stock, err := g.Stock(ctx, StockFilter{})
	fault(err)
	for _, item := range stock {
		add("stock %s %v %s", item.Member.Ref, keyOf(item.Combination), item.StockedOn)
	}
	box, err := g.Box(ctx, 0)
	fault(err)
	for _, item := range box {
		add("box %d: %d %s %v", item.Number, item.ID, item.Member.Ref, keyOf(item.Combination))
	}
	claims, err := g.Claims(ctx)
	fault(err)
	for _, c := range claims {
		add("claim %d %s %v %s", c.ID, c.Member.Ref, keyOf(c.Combination), c.DueOn)
	}
	closed, err := g.Closed(ctx, "2000-01-01")
	fault(err)
	for _, c := range closed {
		add("credit %d %s: %d", c.Claim.ID, c.Claim.Member.Ref, c.Test.ID)
	}
	tests, err := g.Tests(ctx, TestFilter{})
	fault(err)
	for _, t := range tests {
		add("test %d %v %s %v %s", t.ID, keyOf(t.Combination), t.Tester.Ref, t.Seconds, t.State)
	}
	tested, err := g.Tested(ctx)
	fault(err)
	for _, t := range tested {
		add("tested %v %d", keyOf(t.Combination), t.Tests)
	}
	for _, err := range faults {
		if err != nil {
			return "", err
		}
	}
	return lines(parts), nil
}

// checkOpen holds the list of what is untested against the model.
func (m *model) checkOpen(open []OpenCombination) error {
	users := map[combinationKey]map[string]bool{}
	for stock := range m.stock {
		if stock.k.instrument == 0 {
			continue
		}
		if users[stock.k] == nil {
			users[stock.k] = map[string]bool{}
		}
		users[stock.k][stock.member] = true
	}
	kept := m.kept()
	for _, o := range open {
		k := keyOf(o.Combination)
		if o.Users != len(users[k]) || o.Tests != kept[k] {
			return fmt.Errorf("%v: %d users and %d tests, want %d and %d", k, o.Users, o.Tests, len(users[k]), kept[k])
		}
		c := m.openClaim(k)
		if stands := c != nil && c.due >= m.today; stands != (o.Claim != nil) {
			return fmt.Errorf("%v: claim %+v, the model has %+v", k, o.Claim, c)
		}
		delete(users, k)
	}
	for k := range users { // what is not on the list must be settled
		if kept[k] == 0 {
			return fmt.Errorf("%v is untested and not on the list", k)
		}
	}
	return nil
}

// checkHistory holds the history of verdicts against itself: each change begins
// where the one before ended.
func checkHistory(changes []VerdictChange) error {
	last := map[combinationKey]calc.State{}
	for _, c := range changes {
		k := keyOf(c.Combination)
		if c.Before == c.After || c.Before != last[k] {
			return fmt.Errorf("%v: %q to %q after %q", k, c.Before, c.After, last[k])
		}
		last[k] = c.After
	}
	return nil
}

func dayAfter(day string, days int) string {
	t, err := time.Parse(dayText, day)
	if err != nil {
		panic(err) // the tests' own days
	}
	return t.AddDate(0, 0, days).Format(dayText)
}
