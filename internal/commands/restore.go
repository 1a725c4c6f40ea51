package commands

import (
	"context"

	"holdbench/internal/knowledge"
)

const restoreName = "record restore"

var restoreCommand = &Command{
	Name:     restoreName,
	Summary:  "Make a withdrawn test count again",
	Help:     "Your own tests; anybody's for the trainer. The history keeps who restored it, when and why.",
	Options:  []Option{testNumber(suggestTests(knowledge.Withdrawn)), reasonText()},
	Who:      anyMember,
	Admits:   true,
	Plain:    testPlain,
	Examples: []string{"/record restore test:27"},
	Run: func(ctx context.Context, env *Env, call *Call) (Card, error) {
		return changeTest(ctx, env, call, stateChange{
			usual: "put back by its tester", done: "Test %d counts again.",
			to: knowledge.Kept, before: "Test %d counts already.",
			back: toAsk("take it back", withdrawName), change: env.Group.RestoreTest,
		})
	},
}
