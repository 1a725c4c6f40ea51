package discord

import (
	"time"

	"holdbench/internal/commands"
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
	Took    time.Duration // from when it was heard to when the answer stood there
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
func (b *Bot) observe(command string, o Outcome, heard time.Time) {
	if b.settings.Observe == nil {
		return
	}
	b.settings.Observe(Observed{Command: command, Outcome: o, Took: time.Since(heard)})
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

// Shard is how one connection to the gateway is.
type Shard struct {
	ID        int
	Connected bool
	Heard     time.Time // when anything last came from there, signs of life too; zero for never
}

// Shards says how each connection is; none before Discord has said how many
// there are to be.
func (b *Bot) Shards() []Shard {
	fleet := b.fleet.Load()
	if fleet == nil {
		return nil
	}
	states := make([]Shard, len(*fleet))
	for i, s := range *fleet {
		states[i] = Shard{ID: s.id, Connected: s.connected.Load()}
		if at := s.line.heard.Load(); at != 0 {
			states[i].Heard = time.Unix(0, at)
		}
	}
	return states
}

// Lane is how much work of a kind there is.
type Lane struct {
	Name            string // answers or suggestions
	AtHand, Waiting int
	TurnedAway      int64 // since the start: there was no room even to wait
}

// Lanes says how much work there is.
func (b *Bot) Lanes() []Lane {
	return []Lane{b.lane.state("answers"), b.hintLane.state("suggestions")}
}

func (l *lane) state(name string) Lane {
	l.mu.Lock()
	defer l.mu.Unlock()
	return Lane{Name: name, AtHand: l.atHand, Waiting: l.waiting, TurnedAway: l.turnedAway}
}
