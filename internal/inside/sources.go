package inside

import (
	"context"
	"time"
)

// Sources are what is asked when somebody looks. All are called by many goroutines
// at once.
type Sources struct {
	Version  string   // of the build
	Commands []string // whose answers are told apart
	Outcomes []string // of an answer

	Store  func(context.Context) error // nil error: it answers
	Shards func() []Shard              // none before it is known how many there are to be
	Lanes  func() []Lane

	LastBackup func(context.Context) (time.Time, error) // zero for never; nil where none are asked for
	LastPrompt func(context.Context) (time.Time, error) // zero for never

	Warnings func(context.Context) []string // what somebody should look at, though all is well; nil for none

	Now func() time.Time
}

// Shard is how one connection to the platform is.
type Shard struct {
	ID        int
	Connected bool
	Heard     time.Time // zero for never
	Lost      time.Time // since when it is not connected; zero while it is
	Waits     string    // what it waits for before the next try; "" for nothing
}

// Lane is how much work of a kind there is.
type Lane struct {
	Name            string
	AtHand, Waiting int
	TurnedAway      int64 // since the start
}

// askLimit is how long a source may take before it counts as not answering.
const askLimit = 2 * time.Second
