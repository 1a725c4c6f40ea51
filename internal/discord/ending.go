package discord

import (
	"context"
	"time"
)

// How long ending may take: what is in hand is finished first, and what comes meanwhile
// is told to ask again. Work that takes longer is cut short; its askers are told so.
// Then the gateway is closed, and what still came is told. Together they stay below ten
// seconds.
const (
	finishWithin = 5 * time.Second
	stopWithin   = 1200 * time.Millisecond
	lastRequest  = stopWithin * 2 / 5
	lastWithin   = 500 * time.Millisecond
)

// Run answers in all servers until ctx ends; then it takes no more work, finishes
// what is in hand and closes the connections. An error means that trying on is of no use.
// A Bot runs once.
func (b *Bot) Run(ctx context.Context) error {
	defer b.hangUp()
	defer b.cutShort()
	online, disconnect := context.WithCancel(context.WithoutCancel(ctx))
	defer disconnect()

	ended := make(chan error, 1)
	go func() { ended <- b.connect(online) }()
	select {
	case err := <-ended:
		b.finish()
		return err
	case <-ctx.Done():
	}
	b.log.Info("ending")
	b.finish()
	disconnect()
	err := <-ended
	b.inFlight.wait(lastWithin)
	return err
}

// finish takes no more work, and comes back when what is in hand is done or its time
// is over.
func (b *Bot) finish() {
	b.ending.Store(true)
	if b.inFlight.wait(b.finishWithin) {
		return
	}
	b.log.Warn("work in hand was cut short")
	b.cutShort()
	b.inFlight.wait(stopWithin)
}

// sending is a context for a request to Discord: it ends with the work in hand, or,
// when that is over already, with the program.
func (b *Bot) sending(limit time.Duration) (context.Context, context.CancelFunc) {
	if b.life.Err() == nil {
		return context.WithTimeout(b.life, limit)
	}
	return context.WithTimeout(b.open, min(limit, lastRequest))
}
