package commands

import (
	"context"
	"fmt"
	"strings"
	"time"

	"holdbench/internal/knowledge"
)

// Stored is what an answer says was stored. Whoever stored it has to be told: where
// the answer does not get through, a surface confirms it in another way.
type Stored struct {
	What string    // "7.13 s", as in "Your 7.13 s of 10:02 was stored"; "" for nothing
	How  string    // "was stored as test 145 of Orrick Mid, 30G 13 mm needle"
	At   time.Time // in the community's zone
	Undo []Action  // take it back
}

// storedTests is Stored for tests that were just logged.
func storedTests(ctx context.Context, env *Env, tests []knowledge.BenchTest) Stored {
	if len(tests) == 0 {
		return Stored{}
	}
	var numbers []string
	for _, t := range tests {
		numbers = append(numbers, fmt.Sprint(t.ID))
	}
	s := Stored{What: count(len(tests), "result"), How: "were stored as tests " + strings.Join(numbers, ", "), At: env.moment(ctx)}
	if len(tests) == 1 {
		s.What, s.How = resultWords(tests[0]), fmt.Sprintf("was stored as test %d of %s", tests[0].ID, tests[0].Combination)
	}
	for _, t := range tests[:min(len(tests), mostLinks)] {
		s.Undo = append(s.Undo, takeBack(t, fmt.Sprintf("take test %d back", t.ID)))
	}
	return s
}

// moment is now in the community's zone; where that cannot be read, in UTC.
func (env *Env) moment(ctx context.Context) time.Time {
	if at, err := env.today(ctx); err == nil {
		return at
	}
	return env.Now().UTC()
}

// sentence is what whoever stored it is told.
func (s Stored) sentence() string {
	return fmt.Sprintf("Your %s of %s %s.", s.What, s.At.Format("15:04"), s.How)
}

// Confirmation is an answer that did not get through, for its asker in private.
func Confirmation(card Card) Card {
	card.Before = append(card.Before, card.Stored.sentence()+" The answer to it did not get through.")
	return card
}

// Confirming is an answer with what was stored before it, and not confirmed, in front.
func Confirming(card Card, earlier []Stored) Card {
	for _, s := range earlier {
		card.Before = append(card.Before, s.sentence())
		card.Actions = append(card.Actions[:len(card.Actions):len(card.Actions)], s.Undo...)
	}
	return card
}
