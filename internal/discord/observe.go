package discord

import (
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/discord/gateway"
)

// Outcome is what became of something that was asked.
type Outcome string

// The outcomes.
const (
	Answered Outcome = "answered"
	Refused  Outcome = "refused" // in words: whoever asked can put it right, or ask again
	Failed   Outcome = "failed"  // a fault of ours, or an answer that did not get through
	Late     Outcome = "late"    // it took too long, for us or for Discord
)

// Outcomes lists them.
func Outcomes() []Outcome { return []Outcome{Answered, Refused, Failed, Late} }

// Observed is one thing that was asked, as whoever keeps count may know it: not
// by whom, nor where, nor in which words.
type Observed struct {
	Command string // as declared; "" for what is no command, such as a button that is no longer known
	Outcome Outcome
	Took    time.Duration // from when it was received to when the answer stood there
}

// named is a command's name if it is declared, "" else: neither the log nor a
// count is to hold what somebody typed.
func (b *Bot) named(command string) string {
	if b.commands[command] == nil {
		return ""
	}
	return command
}

// observe tells whoever keeps count.
func (b *Bot) observe(command string, o Outcome, received time.Time) {
	if b.settings.Observe == nil {
		return
	}
	b.settings.Observe(Observed{Command: command, Outcome: o, Took: time.Since(received)})
}

// outcomeOf is what a Card means for whoever asked.
func outcomeOf(card commands.Card) Outcome {
	switch {
	case card.Failed:
		return Failed
	case card.Refused:
		return Refused
	}
	return Answered
}

// Shards says how each connection to the gateway is; none before Discord has said
// how many there are to be.
func (b *Bot) Shards() []gateway.Shard { return b.gateway.Shards() }

// Queue is how much work of a kind there is.
type Queue struct {
	Name            string // answers or suggestions
	AtHand, Waiting int
	TurnedAway      int64 // since the start: there was no room even to wait
}

// Queues says how much work there is.
func (b *Bot) Queues() []Queue {
	return []Queue{b.answerWork.state("answers"), b.suggestionWork.state("suggestions")}
}

func (q *workQueue) state(name string) Queue {
	q.mu.Lock()
	defer q.mu.Unlock()
	return Queue{Name: name, AtHand: q.atHand, Waiting: q.waiting, TurnedAway: q.turnedAway}
}
