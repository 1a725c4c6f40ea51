package commands

import (
	"context"
	"fmt"
	"strings"
	"time"

	"holdbench/internal/knowledge"
)

// Stored is what an answer says was stored. The member who stored it must hear of it: if the answer does not get
// through, a surface confirms it in another way.
type Stored struct {
	What  string    // "7.13 s", as in "Your 7.13 s of 10:02 was stored"; "" for nothing
	How   string    // "was stored as test 145 of Orrick Mid, 30G 13 mm needle"
	At    time.Time // in the community's zone
	Tests []int64   // the tests that can be taken back
}

// storedTests is what was stored by logging tests.
func storedTests(at time.Time, tests []knowledge.BenchTest) Stored {
	if len(tests) == 0 {
		return Stored{}
	}
	var numbers []string
	for _, t := range tests {
		numbers = append(numbers, fmt.Sprint(t.ID))
	}
	s := Stored{What: count(len(tests), "result"), How: "were stored as tests " + strings.Join(numbers, ", "),
		At: at}
	if len(tests) == 1 {
		s.What, s.How = typedWords(tests[0]), fmt.Sprintf("was stored as test %d of %s", tests[0].ID,
			tests[0].Combination)
	}
	for _, t := range tests[:min(len(tests), mostLinks)] {
		s.Tests = append(s.Tests, t.ID)
	}
	return s
}

// sentence confirms it to the member who stored it.
func (s Stored) sentence() string {
	return fmt.Sprintf("Your %s of %s %s.", s.What, s.At.Format("15:04"), s.How)
}

// Confirmation is an answer that did not get through, to send to its asker in private.
func Confirmation(card Card) Card {
	card.Before = append(card.Before, card.Stored.sentence()+" The answer to it did not get through.")
	return card
}

// Confirming is an answer that first confirms what was stored earlier.
func Confirming(card Card, earlier []Stored) Card {
	for _, s := range earlier {
		card.Before = append(card.Before, s.sentence())
		for _, id := range s.Tests {
			back := takeBack(knowledge.BenchTest{ID: id}, fmt.Sprintf("take test %d back", id))
			card.Actions = append(card.Actions[:len(card.Actions):len(card.Actions)], back)
		}
	}
	return card
}

// KeepUnconfirmed keeps what was stored and not confirmed to somebody, until their next answer.
func KeepUnconfirmed(ctx context.Context, env *Env, asker Asker, all ...Stored) error {
	kept := make([]knowledge.Unconfirmed, len(all))
	for i, s := range all {
		kept[i] = knowledge.Unconfirmed(s)
	}
	return env.Group.KeepUnconfirmed(ctx, knowledge.Member{Ref: asker.Ref}, kept...)
}

// TakeUnconfirmed takes what KeepUnconfirmed kept for somebody, the earliest first.
func TakeUnconfirmed(ctx context.Context, env *Env, asker Asker) ([]Stored, error) {
	kept, err := env.Group.TakeUnconfirmed(ctx, knowledge.Member{Ref: asker.Ref})
	zone := time.UTC // if the group's cannot be read
	if _, now, err := env.here(ctx); err == nil {
		zone = now.Location()
	}
	var all []Stored
	for _, u := range kept {
		u.At = u.At.In(zone)
		all = append(all, Stored(u))
	}
	return all, err
}
