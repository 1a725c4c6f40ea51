package knowledge

import (
	"slices"
	"strings"

	"holdbench/internal/patientdata"
	"holdbench/internal/trade"
)

// writtenColumns are the columns of files in which people write what they like.
const writtenColumns = "name aliases liquid note reason"

// refuseDoubt returns a *FieldError for a cell of which nobody can be asked whether
// it is about a patient.
func refuseDoubt(field, text string) error {
	if !slices.Contains(strings.Fields(writtenColumns), field) {
		return nil
	}
	if found := patientdata.Look(text); found.Verdict == patientdata.Doubtful {
		return trade.Refuse(field, "may be %s, and a file cannot be asked; please write it in other words", found.Kind)
	}
	return nil
}
