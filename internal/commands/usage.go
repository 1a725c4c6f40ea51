package commands

import (
	"context"
	"sync"
	"time"

	"holdbench/internal/cache"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// usage is how much a member, or the whole group, stocks and tests each thing, by row number.
type usage struct {
	products, instruments, syringes map[int64]int
	of                              map[[2]int64]int // product and instrument together
}

func newUsage() *usage {
	return &usage{products: map[int64]int{}, instruments: map[int64]int{}, syringes: map[int64]int{},
		of: map[[2]int64]int{}}
}

func (u *usage) note(c trade.Combination, weight int) {
	u.products[c.Product.ID] += weight
	u.syringes[c.Syringe.ID] += weight
	if c.Instrument.ID != 0 {
		u.instruments[c.Instrument.ID] += weight
		u.of[[2]int64{c.Product.ID, c.Instrument.ID}] += weight
	}
}

// How usage is weighed and kept. What is in stock says more about the next question than one old test; for the order of
// suggestions a minute is recent enough (both the project's choice).
const (
	stockWeight   = 3
	usageAge      = time.Minute
	latestTests   = 200
	mostAskers    = 500
	groupUsageKey = "" // no asker has an empty ref
)

// usageBook keeps the usage of a group and of members who asked lately.
type usageBook struct {
	once sync.Once
	kept *cache.Cache[string, *usage]
}

func (env *Env) usages() *cache.Cache[string, *usage] {
	env.usage.once.Do(func() {
		env.usage.kept = cache.Counted[string, *usage](mostAskers, usageAge, func() time.Time { return env.Now() })
	})
	return env.usage.kept
}

// usageOf is the usage of a member by ref, or of the group for groupUsageKey, at most usageAge old.
func (env *Env) usageOf(ctx context.Context, ref string) (*usage, error) {
	if kept, there := env.usages().Get(ref); there {
		return kept, nil
	}
	u, err := env.countUsage(ctx, ref)
	if err == nil {
		env.usages().Put(ref, u)
	}
	return u, err
}

// countUsage counts what a member, or the group, stocks and tested last. Nothing is counted for somebody who is not on
// the group's list.
func (env *Env) countUsage(ctx context.Context, ref string) (*usage, error) {
	u, latest := newUsage(), knowledge.TestFilter{Limit: latestTests}
	if ref == groupUsageKey {
		stocked, err := env.Group.Stocked(ctx)
		if err != nil {
			return nil, err
		}
		for _, s := range stocked {
			u.note(s.Combination, stockWeight*s.Holders)
		}
	} else {
		m, err := env.known(ctx, ref)
		if err != nil || m.ID == 0 {
			return u, err
		}
		stock, err := env.Group.Stock(ctx, knowledge.StockFilter{MemberID: m.ID})
		if err != nil {
			return nil, err
		}
		for _, item := range stock {
			u.note(item.Combination, stockWeight)
		}
		latest.TesterID = m.ID
	}
	tests, err := env.Group.Tests(ctx, latest)
	for _, t := range tests {
		u.note(t.Combination, 1)
	}
	return u, err
}
