package commands

import (
	"fmt"
	"slices"

	"holdbench/internal/knowledge"
)

// Where the spread of an estimate comes from, in words.
const (
	fromDefaults = "defaults"
	fromGroup    = "your group's"
)

// spreadOrigin says whether an estimate uses the default spread or the group's own.
func spreadOrigin(s knowledge.GroupSpread) string {
	if s.Own {
		return fromGroup
	}
	return fromDefaults
}

// spreadSource is spreadOrigin as one of a Card's sources.
func spreadSource(s knowledge.GroupSpread) string {
	if s.Own {
		return fmt.Sprintf("spread between tests from %s own %s", fromGroup, count(s.Learned.Repeats, "repeat"))
	}
	return "spread between tests from the " + fromDefaults
}

// citeSpread names the spread that a Card's estimates use. A Card of several estimates may name two while a new spread
// comes into force.
func (c *Card) citeSpread(s knowledge.GroupSpread) {
	if source := spreadSource(s); !slices.Contains(c.Sources, source) {
		c.Sources = append(c.Sources, source)
	}
}

// markRenewable marks an answer that is worth renewing once its estimate counts all tests.
func (c *Card) markRenewable(e *knowledge.Evidence) {
	if e.Behind {
		c.Behind = e.Combination.Product.ID
	}
}

// sayBehind warns, once on a Card, that an estimate does not count the latest tests yet.
func (c *Card) sayBehind(e *knowledge.Evidence) {
	const behind = "The estimate does not count the latest tests yet; ask again in a moment."
	if e.Behind && !slices.Contains(c.Warnings, behind) {
		c.warn(behind)
	}
}
