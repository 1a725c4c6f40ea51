package discord

import (
	"context"
	"time"
)

// How long ending may take. Work under way is finished first, and whoever asks meanwhile is told to ask again. Work
// that takes longer is cut short, and its askers are told so. Then the gateway is closed, and the last messages are
// sent. Together this takes less than ten seconds.
const (
	finishWithin = 5 * time.Second
	stopWithin   = 1200 * time.Millisecond
	lastRequest  = stopWithin * 2 / 5
	lastWithin   = 500 * time.Millisecond
)

// Run answers in all servers until ctx ends. Then it takes no more work, finishes what is under way and closes the
// connections. An error means that trying again is of no use. A Bot runs once.
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

// finish takes no more work, and returns when the work under way is done or its time is over.
func (b *Bot) finish() {
	b.ending.Store(true)
	if b.inFlight.wait(b.finishWithin) {
		return
	}
	b.log.Warn("work under way was cut short")
	b.cutShort()
	b.inFlight.wait(stopWithin)
}

// sending makes the context of a request to Discord. It ends with the work under way, or if that has ended already,
// with the program.
func (b *Bot) sending(limit time.Duration) (context.Context, context.CancelFunc) {
	if b.life.Err() == nil {
		return context.WithTimeout(b.life, limit)
	}
	return context.WithTimeout(b.open, min(limit, lastRequest))
}
