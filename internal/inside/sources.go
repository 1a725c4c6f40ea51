package inside

import (
	"context"
	"time"
)

// Sources are what the pages show. Many goroutines may call them at once.
type Sources struct {
	Version  string   // of the build
	Commands []string // the values of the command label
	Outcomes []string // the values of the outcome label

	Store  func(context.Context) error // nil if the store answers
	Shards func() []Shard              // none until Discord has said how many there are to be
	Lanes  func() []Lane

	LastBackup func(context.Context) (time.Time, error) // zero for never; nil where none are asked for
	LastPrompt func(context.Context) (time.Time, error) // zero for never

	Warnings func(context.Context) []string // what to look at although all is well

	Now func() time.Time
}

// Shard is the state of one connection to the platform.
type Shard struct {
	ID        int
	Connected bool
	Heard     time.Time // zero for never
	Lost      time.Time // since when it is not connected; zero while it is
	Waits     string    // what it waits for before it tries again; "" for nothing
}

// Lane is how much work of one kind there is.
type Lane struct {
	Name            string
	AtHand, Waiting int
	TurnedAway      int64 // since the start
}

// askLimit is how long a source may take before it counts as not answering.
const askLimit = 2 * time.Second
