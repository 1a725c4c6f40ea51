package commands

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// stepNames are what the steps are called, from 1.
var stepNames = [...]string{"", "Group", "Reminders", "Trainers", "Gels", "Needles"}

// card shows a step: what is set, what can be picked, the way back and on.
func (b beginning) card(step int, now time.Time) Card {
	c := Card{Title: fmt.Sprintf("%d of %d · %s", step, lastStep, stepNames[step])}
	[...]func(*Card, time.Time){groupStep: b.groupCard, reminderStep: b.reminderCard, trainerStep: b.trainerCard,
		gelStep: b.gelCard, needleStep: b.needleCard}[step](&c, now)
	if step > groupStep {
		c.Actions = append(c.Actions, toStep("back", step-1))
	}
	on := "next"
	if step == lastStep {
		on = "a first question"
	}
	c.Actions = append(c.Actions, toStep(on, step+1))
	return c
}

func (b beginning) groupCard(c *Card, now time.Time) {
	c.Verdict = "If this is right, go on: next."
	c.fact("Name", "%s", b.settings.Name)
	local := ""
	if zone, err := time.LoadLocation(b.settings.Zone); err == nil {
		local = ", where it is " + now.In(zone).Format("15:04")
	}
	c.fact("Time zone", "%s%s", b.settings.Zone, local)
	c.fact("Ceiling", "%s: the longest hold that the group calls usable", exactSeconds(float64(b.settings.Ceiling)))
	c.line("%s", laterWords)
	var zones, ceilings []Item
	for _, zone := range usualZones {
		zones = append(zones, Item{zone, zone, zone == b.settings.Zone})
	}
	for _, s := range usualCeilings {
		ceilings = append(ceilings, Item{exactSeconds(s), trimNumber(s), s == float64(b.settings.Ceiling)})
	}
	again := stepRequest(groupStep)
	c.Picks = []Pick{{Label: "Time zone", Request: again, Option: "zone", Items: zones, Here: true},
		{Label: "Ceiling", Request: again, Option: "ceiling", Items: ceilings, Here: true}}
	c.Actions = []Action{{Label: "another name", Here: true,
		Request: Request{Command: startName}.with(nameOption, toFill)}}
}

const laterWords = "Leave at any time: /" + startName + " continues at the first open step."

// What is offered; anything else can be typed as an option. The zones are those with many people, west to east; the
// ceilings are round numbers around the usual 10 s (project's choice, no source).
var (
	usualZones = []string{
		"America/Los_Angeles", "America/Denver", "America/Mexico_City", "America/Chicago", "America/Bogota",
		"America/New_York", "America/Sao_Paulo",
		"Europe/Lisbon", "Europe/London", "Europe/Madrid", "Europe/Paris", "Europe/Berlin", "Europe/Warsaw",
		"Africa/Johannesburg", "Europe/Athens",
		"Europe/Istanbul", "Asia/Dubai", "Asia/Kolkata", "Asia/Bangkok", "Asia/Singapore", "Asia/Shanghai",
		"Asia/Seoul", "Australia/Sydney", "Pacific/Auckland", "UTC",
	}
	usualCeilings = []float64{5, 6, 8, 10, 12, 15, 20, 30}
)

func (b beginning) reminderWords() string {
	return orWords(b.settings.ReminderChannel, "none", "channel %s")
}

func (b beginning) reminderCard(c *Card, _ time.Time) {
	c.Verdict, c.Channel = "Once a week: what is worth a test, and what has changed.", b.settings.ReminderChannel
	c.fact("Channel", "%s", b.reminderWords())
	c.line("Without one, nothing is posted unasked.")
	c.Picks = []Pick{{Label: "Channel for reminders", Request: stepRequest(trainerStep), Option: "reminders",
		Here: true}}
}

func trainersWords(s knowledge.Settings) string {
	return orWords(s.TrainerRole, "whoever may manage the server",
		"role %s, and whoever may manage the server")
}

func (b beginning) trainerCard(c *Card, _ time.Time) {
	c.Verdict, c.Role = "Trainers keep the log in order.", b.settings.TrainerRole
	c.fact("Trainers", "%s", trainersWords(b.settings))
	c.line("Members with the role see /trainer once the server allows it: Server Settings, Integrations.")
	c.Picks = []Pick{{Label: "Role of the trainers", Request: stepRequest(gelStep), Option: "trainers", Here: true}}
}

// fewNamed is how many names a step lists.
const fewNamed = 6

func (b beginning) gelCard(c *Card, _ time.Time) {
	c.Verdict = "Paste their names, one a line, and pick the class they share."
	var names []string
	for _, p := range b.gels {
		names = append(names, p.Name)
	}
	c.fact("On the list", "%s", fewNames(names))
	c.line("Do it again for each other class. If you are not sure, choose unknown.")
	c.Actions = []Action{{Label: "paste gels", Here: true, Request: Request{Command: startName}.
		with(gelsOption, toFill).with(classOption, string(calc.UnknownGel))}}
}

// fewNames counts names and lists the latest few.
func fewNames(names []string) string {
	switch n := len(names); {
	case n == 0:
		return "none yet"
	case n > fewNamed:
		return fmt.Sprintf("%d, the latest %s", n, strings.Join(names[n-fewNamed:], ", "))
	}
	return strings.Join(names, ", ")
}

func (b beginning) needleCard(c *Card, _ time.Time) {
	c.Verdict = "Tick the needles and cannulas that the group uses."
	var names, open []string
	for _, i := range b.needles {
		names = append(names, i.Name())
		if lacksWall(i) {
			open = append(open, i.Name())
		}
	}
	c.fact("On the list", "%s", fewNames(names))
	sizes := Pick{Label: "Sizes", Request: stepRequest(needleStep), Option: needlesOption, Here: true}
	for _, i := range slices.SortedFunc(slices.Values(soldSizes()), byGauge) {
		if !b.lists(i) {
			sizes.Items = append(sizes.Items, Item{Label: i.Name(), Value: i.Name()})
		}
	}
	if sizes.Most = len(sizes.Items); sizes.Most > 0 {
		c.Picks = append(c.Picks, sizes)
	}
	if len(open) == 0 {
		return
	}
	c.fact("Without wall class", "%s", fewNames(open))
	c.line("It is printed on the box and gives the bore. If theirs differ, or you do not know, pick not sure.")
	walls := Pick{Label: "Their wall class", Request: stepRequest(lastStep + 1), Option: wallOption, Here: true}
	for _, name := range wallNames() {
		walls.Items = append(walls.Items, Item{Label: name, Value: name})
	}
	c.Picks = append(c.Picks, walls)
}

// lists reports whether a needle or cannula of that size is in use, whatever its wall.
func (b beginning) lists(i trade.Instrument) bool {
	return slices.ContainsFunc(b.needles, func(one trade.Instrument) bool {
		return one.Kind == i.Kind && one.Gauge == i.Gauge && one.LengthMM == i.LengthMM
	})
}

// notSure is the choice that leaves the wall class open.
const notSure = "not sure"

func wallNames() []string { return append([]string{notSure}, namesOf(calc.WallClasses())...) }
