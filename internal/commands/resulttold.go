package commands

import (
	"holdbench/internal/commands/logline"
	"holdbench/internal/commands/question"
)

// askWhetherLogged is the card for a line that tells how a test ended and does not begin with log: "got 5.2 s on
// orrick mid 27g 13mm", or of the combination asked about last, "none in 60". It asks whether that is to be logged;
// nil for any other line.
func (env *Env) askWhetherLogged(v view, req Request, last turn) *Card {
	line := lineOf(req)
	if req.Command != holdName || !question.TellsResult(line) {
		return nil
	}
	log := Request{Command: logName, Text: line, Asker: req.Asker}
	read := logline.ReadLog(line, v.index, v.now)
	if before := last.combination; read.Setup.Product.ID == 0 && before.Product.ID != 0 {
		known := question.StatedAs(before)
		read, log.Values = logline.ReadLogOf(known, line, v.index, v.now), combinationValues(before)
	}
	if read.Setup.Product.ID == 0 || len(read.Outcomes) == 0 {
		return nil
	}
	c := Card{Title: "Is that a bench test to log?", bedside: true}
	c.fact("Read", "%s", readSoFar(read))
	c.line("Nothing is stored before a yes.")
	c.Choices = append([]Choice{{Label: "yes, log it", Request: log}}, notToLog(req, read)...)
	env.openChoice(req, "", last, c)
	return &c
}

// notToLog are the questions that a line which tells of a result may be instead.
func notToLog(req Request, read logline.Line) (choices []Choice) {
	if read.Setup.Outcome != question.One {
		return nil
	}
	on := read.Setup.Combination()
	if o := read.Outcomes[0]; !o.Flashback && o.WatchedS > 0 {
		worth := req.about(negativeName, on).withMeasures(negativeCommand, 0, o.WatchedS)
		choices = append(choices, Choice{"no: what no flashback is worth", worth})
	}
	return append(choices, Choice{"no: the hold", req.about(holdName, on).withMeasures(holdCommand, read.PullML, 0)})
}
