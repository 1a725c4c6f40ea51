package commands

import (
	"maps"
	"regexp"
	"slices"

	"holdbench/internal/trade"
)

// Whatever somebody may write freely is looked at here, before a command sees it:
// what looks like patient data is refused with the reason, and not kept. The store
// looks again at what it stores, for it also takes files in.

// mention is how a chat platform writes that somebody, a role or a channel is
// meant: nothing about a patient, and no free text is stored with it.
var mention = regexp.MustCompile(`<(?:@[!&]?|#)\d+>`)

// noPatientDataSaid refuses free text that looks like patient data.
func noPatientDataSaid(text string) error {
	return refusePatientData("That", mention.ReplaceAllString(text, " "))
}

// noPatientData refuses a request of which an option that takes any text looks like
// patient data. A platform's ids are numbers and let through.
func (cmd *Command) noPatientData(req Request) error {
	for _, o := range cmd.Options {
		if o.Kind != Text || len(o.Choices) > 0 {
			continue
		}
		if err := refusePatientData("The option "+o.Name, req.value(o.Name)); err != nil {
			return err
		}
	}
	return nil
}

// noPatientDataIn does the same for the fields of a form, which are all text.
func noPatientDataIn(filled map[string]string) error {
	for _, name := range slices.Sorted(maps.Keys(filled)) {
		if err := refusePatientData("The "+name, filled[name]); err != nil {
			return err
		}
	}
	return nil
}

func refusePatientData(what, text string) error {
	if looks := trade.PatientData(text); looks != "" {
		return refuse("Nothing of it was kept. Please write it again without it.", "%s looks like %s: no patient data belongs here.", what, looks)
	}
	return nil
}
