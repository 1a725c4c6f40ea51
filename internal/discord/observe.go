package discord

import (
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/discord/gateway"
)

// Outcome says how something that was asked ended.
type Outcome string

// The outcomes.
const (
	Answered Outcome = "answered"
	Refused  Outcome = "refused" // in words: the asker can put it right, or ask again
	Failed   Outcome = "failed"  // a fault of the program, or an answer that did not get through
	Late     Outcome = "late"    // it took the program or Discord too long
)

// Outcomes lists the outcomes.
func Outcomes() []Outcome { return []Outcome{Answered, Refused, Failed, Late} }

// Observed is one thing that was asked, for counting. It says neither who asked, nor where, nor in which words.
type Observed struct {
	Command string // as declared; "" for anything else, such as a button that is no longer known
	Outcome Outcome
	Took    time.Duration // from receiving it to having answered it
}

// named is a command's name if it is declared, else "": neither the log nor a metric may hold what somebody typed.
func (b *Bot) named(command string) string {
	if b.commands[command] == nil {
		return ""
	}
	return command
}

// observe reports an outcome to Settings.Observe.
func (b *Bot) observe(command string, o Outcome, received time.Time) {
	if b.settings.Observe == nil {
		return
	}
	b.settings.Observe(Observed{Command: command, Outcome: o, Took: time.Since(received)})
}

// outcomeOf is the outcome of an answer with this Card.
func outcomeOf(card commands.Card) Outcome {
	switch {
	case card.Failed:
		return Failed
	case card.Refused:
		return Refused
	}
	return Answered
}

// Shards returns the state of each connection to the gateway; none until Discord has said how many there are to be.
func (b *Bot) Shards() []gateway.Shard { return b.gateway.Shards() }

// Queue is how much work of one kind there is.
type Queue struct {
	Name            string // answers or suggestions
	AtHand, Waiting int
	TurnedAway      int64 // since the start, because too much was waiting
}

// Queues returns how much work of each kind there is.
func (b *Bot) Queues() []Queue {
	return []Queue{b.answerWork.state("answers"), b.suggestionWork.state("suggestions")}
}

func (q *workQueue) state(name string) Queue {
	q.mu.Lock()
	defer q.mu.Unlock()
	return Queue{Name: name, AtHand: q.atHand, Waiting: q.waiting, TurnedAway: q.turnedAway}
}
