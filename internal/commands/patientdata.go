package commands

import (
	"maps"
	"regexp"
	"slices"

	"holdbench/internal/patientdata"
)

// Free text is checked here before a command sees it. What looks like patient data is refused with the reason, and not
// kept; what may be patient data is asked about before it is stored. The store checks again, because it also takes
// files.

// mention is how a chat platform writes a person, a role or a channel. It says nothing about a patient.
var mention = regexp.MustCompile(`<(?:@[!&]?|#)\d+>`)

// noPatientDataSaid refuses free text that looks like patient data.
func noPatientDataSaid(text string) error {
	return refusePatientData("That", mention.ReplaceAllString(text, " "))
}

// noPatientData refuses a request with patient data in an option that takes any text. The platform's ids pass: they are
// numbers.
func (call *Call) noPatientData() error {
	for _, o := range call.cmd.Options {
		if o.Kind != Text || len(o.Choices) > 0 {
			continue
		}
		text := call.value(o.Name)
		if o.Name == lotOption {
			text = "lot " + text // so that a lot's number is not taken for a patient's
		}
		if err := refusePatientData("The option "+o.Name, text); err != nil {
			return err
		}
	}
	return nil
}

// noPatientDataIn refuses a form with patient data in a field.
func noPatientDataIn(filled map[string]string) error {
	for _, name := range slices.Sorted(maps.Keys(filled)) {
		if err := refusePatientData("The "+name, filled[name]); err != nil {
			return err
		}
	}
	return nil
}

func refusePatientData(what, text string) error {
	if found := patientdata.Look(text); found.Verdict == patientdata.Refused {
		return refuse("Nothing of it was kept. Please write it again without it.",
			"%s looks like %s: no patient data belongs here.", what, found.Kind)
	}
	return nil
}

// doubt is the *questionBack whether what would be stored is about a patient, where it may be; nil elsewhere. Text that
// is only read, such as a question, is not asked about.
func (call *Call) doubt() error {
	var doubtful []string
	for _, o := range call.cmd.Options {
		if o.Kept && !call.NoPatient && patientdata.Look(call.value(o.Name)).Verdict == patientdata.Doubtful {
			doubtful = append(doubtful, o.Name)
		}
	}
	if doubtful == nil {
		return nil
	}
	about, without := call.Request, call.Request
	about.NoPatient, without.Values = true, maps.Clone(call.Values)
	for _, name := range doubtful {
		delete(without.Values, name)
	}
	words := listWords(doubtful)
	c := Card{Title: "Is the " + words + " about a patient?"}
	c.line("Nothing is stored until you pick one. Nothing about a patient belongs here.")
	c.Choices = []Choice{{Label: "no: keep it as it is", Request: about},
		{Label: "yes: leave the " + words + " out", Request: without}}
	return &questionBack{c}
}

// noDoubtOf refuses a name that may be about a patient: a gel's name need not look like that.
func noDoubtOf(what, text string) error {
	if found := patientdata.Look(text); found.Verdict == patientdata.Doubtful {
		return refuse("Please write the name alone, as it is on the box.", "%s may be %s.", what, found.Kind)
	}
	return nil
}
