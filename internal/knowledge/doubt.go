package knowledge

import (
	"slices"
	"strings"

	"holdbench/internal/patientdata"
	"holdbench/internal/trade"
)

// writtenColumns are the columns of files in which people write what they like.
const writtenColumns = "name aliases liquid note reason"

// refusePatientData returns a *FieldError for a cell that is or may be patient data: in a
// file nobody can be asked.
func refusePatientData(field, text string) error {
	if !slices.Contains(strings.Fields(writtenColumns), field) {
		return nil
	}
	switch found := patientdata.Look(text); found.Verdict {
	case patientdata.Refused:
		return trade.RefusePatientData(field, text)
	case patientdata.Doubtful:
		return trade.Refuse(field, "may be %s, and a file cannot be asked; please write it in other words", found.Kind)
	}
	return nil
}
