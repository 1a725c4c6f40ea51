package discord

import (
	"container/list"
	"crypto/rand"
	"encoding/base32"
	"sync"
)

// memory keeps the latest things put in, up to a number of them.
type memory[T any] struct {
	mu     sync.Mutex
	most   int
	byKey  map[string]*list.Element
	latest *list.List // of *kept[T], the latest in front
}

type kept[T any] struct {
	key   string
	value T
}

func newMemory[T any](most int) *memory[T] {
	return &memory[T]{most: most, byKey: map[string]*list.Element{}, latest: list.New()}
}

// put keeps a value, in place of an older one by the same key.
func (m *memory[T]) put(key string, value T) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.drop(key)
	m.byKey[key] = m.latest.PushFront(&kept[T]{key, value})
	if m.latest.Len() > m.most {
		m.drop(m.latest.Back().Value.(*kept[T]).key)
	}
}

// get returns what is kept by a key.
func (m *memory[T]) get(key string) (value T, ok bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	e, ok := m.byKey[key]
	if !ok {
		return value, false
	}
	m.latest.MoveToFront(e)
	return e.Value.(*kept[T]).value, true
}

// add keeps a value unless there is one by that key; false if there is.
func (m *memory[T]) add(key string, value T) bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	if _, there := m.byKey[key]; there {
		return false
	}
	m.byKey[key] = m.latest.PushFront(&kept[T]{key, value})
	if m.latest.Len() > m.most {
		m.drop(m.latest.Back().Value.(*kept[T]).key)
	}
	return true
}

// remove forgets what is kept by a key.
func (m *memory[T]) remove(key string) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.drop(key)
}

func (m *memory[T]) drop(key string) {
	if e, ok := m.byKey[key]; ok {
		m.latest.Remove(e)
		delete(m.byKey, key)
	}
}

// newKey is a key that nobody can guess.
func newKey() string {
	var b [10]byte
	if _, err := rand.Read(b[:]); err != nil {
		return "" // crypto/rand does not fail on the systems that Go supports
	}
	return base32.StdEncoding.EncodeToString(b[:])
}
