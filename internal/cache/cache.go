// Package cache keeps values in memory up to a size.
package cache

import (
	"container/list"
	"sync"
	"time"
)

// Cache keeps the values used most recently, up to a total size. The latest one stays however large
// it is. Many goroutines may use a Cache at once.
type Cache[K comparable, V any] struct {
	mu      sync.Mutex
	most    int
	size    func(V) int
	age     time.Duration // 0: values are kept as long as there is room
	now     func() time.Time
	total   int
	entries map[K]*list.Element
	latest  *list.List // of *entry[K, V], the one used last in front
}

type entry[K comparable, V any] struct {
	key     K
	value   V
	counted int // its size as it is counted in total
	put     time.Time
}

// New makes a cache for values up to a total size. size tells how large a value is; it is asked again
// at each use, because a value may grow.
func New[K comparable, V any](most int, size func(V) int) *Cache[K, V] {
	c := &Cache[K, V]{most: most, size: size}
	c.Clear()
	return c
}

// Counted makes a cache for a number of values, whatever their size. A value is dropped once it is
// older than age by the clock; with age 0 it is kept as long as there is room.
func Counted[K comparable, V any](most int, age time.Duration, now func() time.Time) *Cache[K, V] {
	c := New[K](most, func(V) int { return 1 })
	c.age, c.now = age, now
	return c
}

// Get returns the value of a key, and whether there is one.
func (c *Cache[K, V]) Get(key K) (value V, ok bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if e := c.find(key); e != nil {
		c.latest.MoveToFront(e)
		return c.use(e), true
	}
	return value, false
}

// Put keeps a value. It replaces an older one of the same key.
func (c *Cache[K, V]) Put(key K, value V) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.put(key, value)
}

// Add keeps a value unless the key has one; false if it has.
func (c *Cache[K, V]) Add(key K, value V) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.find(key) != nil {
		return false
	}
	c.put(key, value)
	return true
}

// Take removes the value of a key and returns it, and whether there was one.
func (c *Cache[K, V]) Take(key K) (value V, ok bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if e := c.find(key); e != nil {
		return c.remove(e).value, true
	}
	return value, false
}

// find returns the entry of a key, nil where there is none. It removes one that is too old.
func (c *Cache[K, V]) find(key K) *list.Element {
	e := c.entries[key]
	if e != nil && c.age > 0 && c.now().Sub(e.Value.(*entry[K, V]).put) > c.age {
		c.remove(e)
		return nil
	}
	return e
}

func (c *Cache[K, V]) put(key K, value V) {
	if e, ok := c.entries[key]; ok {
		c.remove(e)
	}
	one := &entry[K, V]{key: key, value: value}
	if c.age > 0 {
		one.put = c.now()
	}
	c.entries[key] = c.latest.PushFront(one)
	c.use(c.entries[key])
}

// use counts the size that a value has now, and removes the values that have not been used for the
// longest time until the rest fit.
func (c *Cache[K, V]) use(e *list.Element) V {
	one := e.Value.(*entry[K, V])
	now := c.size(one.value)
	c.total += now - one.counted
	one.counted = now
	for c.latest.Len() > 1 && c.total > c.most {
		c.remove(c.latest.Back())
	}
	return one.value
}

func (c *Cache[K, V]) remove(e *list.Element) *entry[K, V] {
	old := c.latest.Remove(e).(*entry[K, V])
	delete(c.entries, old.key)
	c.total -= old.counted
	return old
}

// Clear removes all values.
func (c *Cache[K, V]) Clear() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.entries, c.latest, c.total = map[K]*list.Element{}, list.New(), 0
}

// Size returns how many values there are, and how large they are together.
func (c *Cache[K, V]) Size() (values, total int) {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.latest.Len(), c.total
}
