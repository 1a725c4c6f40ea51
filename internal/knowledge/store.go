package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"path/filepath"
	"sync"
	"time"
)

// Store is one file with what its communities know. It is safe for use by many
// goroutines at once; one at a time writes.
type Store struct {
	read, write *sql.DB
	now         func() time.Time
	path        string
	newest      int // the version of a store that this program knows

	vocabularies vocabularyCache
	shelf        *shelf                    // decoded estimates, the latest used
	fitting      [fittingAtOnce]sync.Mutex // by product number: one computes, the others wait for it
}

// fittingAtOnce is how many estimates are computed at once at most, far more than
// a machine has cores. Two products whose numbers share a lock wait for each other.
const fittingAtOnce = 64

// Option changes how a store is opened.
type Option func(*Store)

// WithClock gives the store a clock other than time.Now.
func WithClock(now func() time.Time) Option { return func(s *Store) { s.now = now } }

// Open opens the store in the file at path, makes it if there is none, and
// brings an older one up to date.
//
// Errors: ErrNotAStore for a file that is something else, which is left as it
// is; ErrNewerStore for one written by a newer version of the program.
func Open(ctx context.Context, path string, options ...Option) (s *Store, err error) {
	defer wrap(&err, "open store %s", path)
	texts, err := migrations()
	if err != nil {
		return nil, err
	}
	if path == "" {
		return nil, errors.New("no path given")
	}
	path, err = filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	if err := recognise(ctx, path, len(texts)); err != nil {
		return nil, err
	}
	s = &Store{now: time.Now, path: path, newest: len(texts), shelf: newShelf(shelfEntries, shelfBytes)}
	for _, option := range options {
		option(s)
	}
	s.read, s.write, err = openPools(path)
	if err != nil {
		return nil, err
	}
	if err := s.migrate(ctx, texts); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

// Close closes the file. Nothing of the store may be used afterwards.
func (s *Store) Close() error { return errors.Join(s.read.Close(), s.write.Close()) }

// look reads outside a transaction: each query sees the latest commit.
func (s *Store) look() querier { return querier{engine: s.read} }

// snapshot runs do in a reading transaction: all its queries see one state.
func (s *Store) snapshot(ctx context.Context, do func(q querier) error) error {
	tx, err := s.read.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback() // nothing was written
	return do(querier{engine: tx})
}

// inTx runs do in a writing transaction, committed when do returns nil and
// undone when it returns an error.
func (s *Store) inTx(ctx context.Context, do func(q querier) error) error {
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback() // does nothing after Commit
	if err := s.notNewer(ctx, querier{engine: tx}); err != nil {
		return err
	}
	if err := do(querier{engine: tx, own: &vocabularyCache{}}); err != nil {
		return err
	}
	if err := tx.Commit(); err != nil {
		return fmt.Errorf("commit: %w", err)
	}
	return nil
}

// Group is the handle to what one community knows. Everything it reads and
// writes is that community's and nobody else's.
type Group struct {
	store *Store
	id    int64
	ref   string
}

// Ref returns the platform's id of the community.
func (g *Group) Ref() string { return g.ref }
