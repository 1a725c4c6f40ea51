package commands

import (
	"context"
	"slices"

	"holdbench/internal/knowledge"
)

// aboutGels are the commands that say what comes next while the list of gels is empty; aboutTests those that do while
// no test is logged.
var (
	aboutGels = []string{
		holdName, whyName, pictureName, logName, mineName, asideName, batchName, takeName, untestedName, testsName,
		coverageName, compareName, testersName, productsName,
	}
	aboutTests = []string{untestedName, coverageName, testersName, historyName}
)

// sayNext says what the next step is where an answer had nothing to go by. An error here does not hold up the answer.
func sayNext(ctx context.Context, env *Env, cmd *Command, req Request, c *Card) {
	if cmd == nil || env.Group == nil || c.Failed || c.Bare || len(c.Choices) > 0 {
		return
	}
	ofGels, ofTests := slices.Contains(aboutGels, cmd.Name), slices.Contains(aboutTests, cmd.Name)
	if !ofGels && !ofTests {
		return
	}
	v, err := env.Group.Vocabulary(ctx)
	switch {
	case err != nil:
	case len(v.Products) == 0 && ofGels:
		if c.Refused { // another spelling would not help either
			c.Facts, c.Actions = nil, nil
		}
		c.line("%s", req.Asker.emptyHint())
	case ofTests && !c.Refused:
		tests, err := env.Group.Tests(ctx, knowledge.TestFilter{Limit: 1})
		if err == nil && len(tests) == 0 {
			c.line("No test is logged yet: /%s logs the first, in one line as you would say it.", logName)
		}
	}
}

// emptyHint says what to do while the list of gels is empty.
func (a Asker) emptyHint() string {
	switch {
	case a.Role.Covers(knowledge.TrainerRole):
		return "The group's list of gels is empty: /" + startName + " takes them, one a line."
	case a.RoleUnknown:
		return "The group's list of gels is empty. If you are its trainer, type /" + startName +
			" in the server; if not, ask them."
	}
	return "The group's list of gels is empty: ask your trainer, who types /" + startName + "."
}
