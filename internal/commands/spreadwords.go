package commands

import (
	"fmt"
	"slices"

	"holdbench/internal/knowledge"
)

// The two words for where the spread of an estimate comes from.
const (
	fromDefaults = "defaults"
	fromGroup    = "your group's"
)

// spreadOrigin says whether an estimate stands on the defaults or on the group's
// own spread.
func spreadOrigin(s knowledge.GroupSpread) string {
	if s.Own {
		return fromGroup
	}
	return fromDefaults
}

// spreadSource is spreadOrigin as a source of a Card.
func spreadSource(s knowledge.GroupSpread) string {
	if s.Own {
		return fmt.Sprintf("spread between tests from %s own %s", fromGroup, count(s.Learned.Repeats, "repeat"))
	}
	return "spread between tests from the " + fromDefaults
}

// standOn names the spread that what the Card says stands on. A Card of several
// estimates may name two, while a new spread comes into force.
func (c *Card) standOn(s knowledge.GroupSpread) {
	if source := spreadSource(s); !slices.Contains(c.Sources, source) {
		c.Sources = append(c.Sources, source)
	}
}

// standOnEstimate is standOn for what an estimate says, and says so where it is the one
// before.
func (c *Card) standOnEstimate(e *knowledge.Evidence) {
	c.standOn(e.Spread)
	c.sayBehind(e)
}

// tellAnew marks an answer that can be given again, and is worth it, once the estimate is
// that of all tests.
func (c *Card) tellAnew(e *knowledge.Evidence) {
	if e.Behind {
		c.Behind = e.Combination.Product.ID
	}
}

// sayBehind warns, once on a Card, of an estimate that is the one before the latest
// tests.
func (c *Card) sayBehind(e *knowledge.Evidence) {
	const behind = "The estimate is the one before the latest tests; ask again in a moment."
	if e.Behind && !slices.Contains(c.Warnings, behind) {
		c.warn(behind)
	}
}
