package discordtest

import (
	"os"
	"time"
)

// RecordVariable names the environment variable that holds the path of the
// JSON-lines file every request is appended to when [Options.Record] is empty.
const RecordVariable = "DISCORDTEST_RECORD"

// Off switches off a limit of [Options] whose zero value means "as documented".
const Off = -1

// Options are the settings of a stand-in. The zero value is the platform as
// documented: every limit on, message content not granted.
type Options struct {
	// Name is the application's name. Default "Test Bot".
	Name string

	// MessageContent says that the privileged intent of that name is switched on for the application. Asking for a
	// privileged intent that is off ends in close code 4014.
	MessageContent bool

	// Deadline is the time for the first answer to an interaction (3 s).
	Deadline time.Duration
	// Heartbeat is the interval told in HELLO (41.25 s).
	Heartbeat time.Duration

	// IdentifyLimit is the number of IDENTIFYs a day (1000); one more and the
	// token is reset. IdentifySpacing is the time one IDENTIFY takes from its
	// shard bucket (5 s; Off = none). Shards is what the gateway advises (1).
	IdentifyLimit   int
	IdentifySpacing time.Duration
	Shards          int
	// MaxConcurrency is the number of IDENTIFYs per spacing (1).
	MaxConcurrency int
	// GuildsPerShard is the most guilds a shard may hold (2500).
	GuildsPerShard int

	// GlobalLimit is the number of requests a second (50; Off = none); answers
	// to interactions are exempt. RouteLimit and RouteWindow bound each route
	// and top-level id; the platform does not publish them (1000 in 1 s).
	GlobalLimit int
	RouteLimit  int
	RouteWindow time.Duration
	// InvalidLimit is the number of 401, 403 and 429 answers in ten minutes
	// after which the address is banned (10000).
	InvalidLimit int

	// FileBytes is the largest file that a message takes (10 MiB); interactions say it.
	FileBytes int

	// NoPings adds a rule of the bot's own: a message that could notify anybody
	// but users who agreed to it (User.AgreeToPings), or that leaves
	// allowed_mentions to the default, is a violation.
	NoPings bool

	// Record is the JSON-lines file every request is appended to.
	// Default: what RecordVariable says; neither = none.
	Record string
}

// Documented numbers of the gateway and the rate limits, and assumptions where
// the platform publishes none.
const (
	documentedDeadline  = 3 * time.Second  // interactions/receiving-and-responding
	documentedTokenLife = 15 * time.Minute // the same
	usualHeartbeat      = 41250 * time.Millisecond
	assumedResumeWindow = 3 * time.Minute // "a few minutes"
	documentedSpacing   = 5 * time.Second // events/gateway, rate limiting
	assumedNonceMemory  = 5 * time.Minute // "the past few minutes"
	invalidWindow       = 10 * time.Minute
	eventWindow         = time.Minute
	eventsPerWindow     = 120 // events/gateway, rate limiting
	largestPayload      = 4096
	// intervals without a word before the server hangs up; assumption, long for a busy machine's sake
	deafAfterBeats = 10
)

func (o Options) withDefaults() Options {
	setText(&o.Name, "Test Bot")
	setTime(&o.Deadline, documentedDeadline)
	setTime(&o.Heartbeat, usualHeartbeat)
	setTime(&o.IdentifySpacing, documentedSpacing)
	setTime(&o.RouteWindow, time.Second)
	setCount(&o.IdentifyLimit, 1000)
	setCount(&o.Shards, 1)
	setCount(&o.MaxConcurrency, 1)
	setCount(&o.GuildsPerShard, 2500)
	setCount(&o.GlobalLimit, 50)
	setCount(&o.RouteLimit, 1000)
	setCount(&o.InvalidLimit, 10000)
	setCount(&o.FileBytes, maxFileBytes)
	setText(&o.Record, os.Getenv(RecordVariable))
	return o
}

func setText(p *string, value string) {
	if *p == "" {
		*p = value
	}
}

func setTime(p *time.Duration, value time.Duration) {
	if *p == 0 {
		*p = value
	}
}

func setCount(p *int, value int) {
	if *p == 0 {
		*p = value
	}
}
