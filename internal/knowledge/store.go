package knowledge

import (
	"context"
	"sync"
	"sync/atomic"
	"time"

	"holdbench/internal/cache"
	"holdbench/internal/database"
)

// Store keeps the communities' knowledge. It is safe for use by many goroutines, and by
// several programs on one database.
type Store struct {
	db  *database.DB
	now func() time.Time

	vocabularies *vocabularyCache
	files        *cache.Cache[int64, *productFile] // by product number
	traces       atomic.Bool                       // what was erased may still be readable in the engine's log
	fits         *fits
	added        addedTests
	looking      sync.Mutex    // held while EraseDue looks
	dueFor       map[int64]int // by community: at how many looks in a row its erasure was due
	atOnce       int           // testsAtOnce
}

// Option changes how a store is opened.
type Option func(*Store)

// WithClock gives the store a clock other than time.Now.
func WithClock(now func() time.Time) Option { return func(s *Store) { s.now = now } }

// Open opens the store at an address, the path of a file or a URL of PostgreSQL, as
// [database.Open] does.
func Open(ctx context.Context, address string, options ...Option) (*Store, error) {
	form, err := schema()
	if err != nil {
		return nil, err
	}
	return openAs(ctx, address, form, options...)
}

func openAs(ctx context.Context, address string, form database.Schema, options ...Option) (*Store, error) {
	db, err := database.Open(ctx, address, form)
	if err != nil {
		return nil, err
	}
	s := &Store{
		db: db, now: time.Now, vocabularies: newVocabularyCache(),
		files: cache.New[int64](mostFileBytes, (*productFile).bytes), fits: newFits(), dueFor: map[int64]int{},
		atOnce: testsAtOnce,
	}
	s.traces.Store(true) // the program before may have been killed before it cleared them
	for _, option := range options {
		option(s)
	}
	s.endImports(ctx)
	return s, nil
}

// endImports removes unfinished imports of programs that are gone: at once if it is certain
// that nobody works on them, and otherwise as soon as it is. If that fails, the community's
// next import says why.
func (s *Store) endImports(ctx context.Context) {
	wait, err := s.takeAwayLeft(ctx, nil)
	if err != nil || wait == 0 {
		return // the jobs and the group's next import meet the same fault and report it
	}
	s.fits.running.Go(func() {
		for err == nil && wait > 0 {
			select {
			case <-s.fits.ctx.Done():
				return
			case <-time.After(wait + time.Second):
			}
			wait, err = s.takeAwayLeft(s.fits.ctx, nil)
		}
	})
}

// IsURL reports whether the address of a store is a URL of PostgreSQL and not the
// path of a file.
func IsURL(address string) bool { return database.IsURL(address) }

// Name says where the store is: its path, or its URL without the password.
func (s *Store) Name() string { return s.db.Name() }

// Close closes the store. Nothing of it may be used afterwards. Estimates that are being made
// are abandoned, and made again when next needed.
func (s *Store) Close() error {
	s.fits.close()
	return s.db.Close()
}

// Reserve takes a name that only one program on this store can hold, as [database.DB.Reserve]
// does.
func (s *Store) Reserve(name string) (release func() error, err error) { return s.db.Reserve(name) }

// Spaced keeps programs on this store apart, as [database.DB.Spaced] does.
func (s *Store) Spaced(ctx context.Context, what string, apart time.Duration) error {
	return s.db.Spaced(ctx, what, apart)
}

// look reads outside a transaction: each query sees the latest commit.
func (s *Store) look() querier { return querier{Querier: s.db.Look()} }

// snapshot runs do in a reading transaction: all its queries see the same state.
func (s *Store) snapshot(ctx context.Context, do func(q querier) error) error {
	return s.db.Snapshot(ctx, func(q database.Querier) error { return do(querier{Querier: q}) })
}

// inTx runs do in a writing transaction, which is committed if do returns nil and rolled back
// if it returns an error. Nobody else writes to the store meanwhile. do may run more than
// once.
func (s *Store) inTx(ctx context.Context, do func(q querier) error) error {
	return s.write(ctx, database.AllTenants, do)
}

func (s *Store) write(ctx context.Context, community int64, do func(q querier) error) error {
	var added []addedTest
	err := s.db.Write(ctx, community, func(q database.Querier) error {
		added = nil // of a transaction that is tried once more
		return do(querier{Querier: q, own: newVocabularyCache(), added: &added})
	})
	if err == nil {
		s.added.note(added)
	}
	return err
}

// Group is the handle to what one community knows. Everything it reads and
// writes is that community's and nobody else's.
type Group struct {
	store communityStore
	id    int64
	ref   string
}

// communityStore is the store as one community writes to it: it keeps out writers
// of the same community, and those of the whole store.
type communityStore struct {
	*Store
	community int64
}

func (s communityStore) inTx(ctx context.Context, do func(q querier) error) error {
	return s.write(ctx, s.community, do)
}

func (s *Store) group(id int64, ref string) *Group {
	return &Group{store: communityStore{s, id}, id: id, ref: ref}
}

// Ref returns the platform's id of the community.
func (g *Group) Ref() string { return g.ref }
