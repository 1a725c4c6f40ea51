package commands

import (
	"context"

	"holdbench/internal/commands/logline"
	"holdbench/internal/commands/question"
)

// tellsResult asks whether to log what a line tells that does not begin with log: "got 5.2 s on orrick mid 27g 13mm"
// or, of the combination asked about last, "none in 60".
func (l typedLine) tellsResult(context.Context) *reply {
	if l.req.Command != holdName || !question.TellsResult(l.text) {
		return nil
	}
	log := Request{Command: logName, Text: l.text, Asker: l.req.Asker}
	read := logline.ReadLog(l.text, l.index, l.now)
	if before := l.last.combination; read.Setup.Product.ID == 0 && before.Product.ID != 0 {
		known := question.StatedAs(before)
		read, log.Values = logline.ReadLogOf(known, l.text, l.index, l.now), combinationValues(before)
	}
	if read.Setup.Product.ID == 0 || len(read.Outcomes) == 0 {
		return nil
	}
	c := Card{Title: "Is that a bench test to log?", bedside: true}
	c.fact("Read", "%s", readSoFar(read))
	c.line("Nothing is stored until you say yes.")
	c.Choices = append([]Choice{{Label: "yes, log it", Request: log}}, notToLog(l.req, read)...)
	l.env.awaitChoice(l.req, "", l.last, c)
	return l.answer(&c)
}

// notToLog are the questions that a line with a result may mean instead.
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
