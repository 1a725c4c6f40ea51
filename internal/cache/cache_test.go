package cache

import (
	"sync"
	"testing"
	"time"
)

func length(text string) int { return len(text) }

func wants[K comparable, V any](t *testing.T, c *Cache[K, V], values, total int) {
	t.Helper()
	if n, size := c.Size(); n != values || size != total {
		t.Errorf("%d values of %d together, want %d of %d", n, size, values, total)
	}
}

func TestWhatWasUsedLastStays(t *testing.T) {
	c := New[int](2, length)
	c.Put(1, "a")
	c.Put(2, "b")
	c.Get(1)
	c.Put(3, "c")
	if _, ok := c.Get(2); ok {
		t.Error("what was not used for longest is still there")
	}
	if one, ok := c.Get(1); !ok || one != "a" {
		t.Error("what was used last went")
	}
	c.Put(1, "d")
	if one, _ := c.Get(1); one != "d" {
		t.Error("a newer value did not take the place of the older one")
	}
	wants(t, c, 2, 2)
}

func TestTheSizeIsBounded(t *testing.T) {
	c := New[int](3000, func(n int) int { return n })
	for key := range 10 {
		c.Put(key, 1400)
	}
	wants(t, c, 2, 2800)
	c.Put(10, 7000) // alone larger than the bound
	wants(t, c, 1, 7000)
	c.Put(11, 0)
	wants(t, c, 1, 0)
	c.Clear()
	wants(t, c, 0, 0)
}

func TestAValueThatHasGrownIsCountedAtItsNextUse(t *testing.T) {
	c := New[int](10, func(n *int) int { return *n })
	one, other := 4, 4
	c.Put(1, &one)
	c.Put(2, &other)
	other = 9
	wants(t, c, 2, 8)
	c.Get(2)
	wants(t, c, 1, 9)
}

func TestAValueIsAddedOnceAndDroppedWithAge(t *testing.T) {
	now := time.Date(2026, 11, 24, 9, 30, 0, 0, time.UTC)
	c := Counted[string, int](2, time.Hour, func() time.Time { return now })
	if !c.Add("a", 1) || c.Add("a", 2) {
		t.Error("a value is not added just once")
	}
	now = now.Add(time.Hour)
	if one, ok := c.Get("a"); !ok || one != 1 {
		t.Errorf("an hour later: %d, %t", one, ok)
	}
	now = now.Add(time.Second)
	if _, ok := c.Get("a"); ok || !c.Add("a", 3) {
		t.Error("a value that is too old is still there")
	}
	if one, ok := c.Take("a"); !ok || one != 3 {
		t.Errorf("taken: %d, %t", one, ok)
	}
	if _, ok := c.Take("a"); ok {
		t.Error("a value is taken twice")
	}
	forGood := Counted[string, int](2, 0, nil)
	for i, key := range []string{"a", "b", "c"} {
		forGood.Put(key, i)
	}
	if _, ok := forGood.Get("a"); ok {
		t.Error("three values where two are kept")
	}
	wants(t, forGood, 2, 2)
}

func TestManyAskAtOnce(t *testing.T) {
	c := New[int](20, length)
	var askers sync.WaitGroup
	for asker := range 4 {
		askers.Go(func() {
			for n := range 200 {
				c.Put(n*4+asker, "ab")
				if one, ok := c.Get(n*4 + asker); ok && one != "ab" {
					t.Errorf("got %q", one)
				}
				if _, total := c.Size(); total > 20 {
					t.Errorf("%d together", total)
				}
			}
		})
	}
	askers.Wait()
	wants(t, c, 10, 20)
}
