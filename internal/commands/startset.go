package commands

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/patientdata"
	"holdbench/internal/trade"
)

// setBeginning stores what a step was given. Problems are what was not stored, and why.
// at is the step that is shown then: that of what could not be stored, or of what was
// given where no step was asked for; else 0.
func setBeginning(ctx context.Context, env *Env, call *Call) (at int, problems []string, err error) {
	var by knowledge.Member
	for _, set := range []struct {
		step    int
		options []string
		do      func(context.Context, *Env, *Call, knowledge.Member) ([]string, error)
	}{
		{groupStep, []string{nameField, "zone", "ceiling"}, setGroup},
		{reminderStep, []string{"reminders"}, setReminders},
		{trainerStep, []string{"trainers"}, setTrainers}, {gelStep, []string{gelsField}, addGels},
		{needleStep, []string{"needles"}, addNeedles}, {needleStep, []string{"wall"}, setWalls},
	} {
		if !slices.ContainsFunc(set.options, call.given) {
			continue
		}
		if !call.given("step") {
			at = set.step
		}
		if by, err = call.Asker.member(ctx, env); err != nil {
			return 0, nil, err
		}
		said, err := set.do(ctx, env, call, by)
		if words, theirs := faultWords(err); theirs {
			at, said = set.step, append(said, words)
		} else if err != nil {
			return 0, nil, err
		}
		problems = append(problems, said...)
	}
	return at, problems, nil
}

// setGroup sets name, time zone and ceiling.
func setGroup(ctx context.Context, env *Env, call *Call, by knowledge.Member) ([]string, error) {
	name := strings.TrimPrefix(call.value(nameField), toFill)
	return nil, env.Group.ChangeSettings(ctx, by, func(s *knowledge.Settings) error {
		if ceiling, given := call.number("ceiling"); given {
			s.Ceiling = calc.Seconds(ceiling)
		}
		s.Name, s.Zone = cmp.Or(name, s.Name), cmp.Or(call.value("zone"), s.Zone)
		return nil
	})
}

// setReminders sets the channel, where the tool may post in it.
func setReminders(ctx context.Context, env *Env, call *Call, by knowledge.Member) ([]string, error) {
	channel := call.value("reminders")
	if err := env.mayPost(ctx, channel); err != nil {
		return nil, err
	}
	return nil, env.Group.ChangeSettings(ctx, by,
		func(s *knowledge.Settings) error { s.ReminderChannel = channel; return nil })
}

// setTrainers sets the role; the store takes none that everybody has.
func setTrainers(ctx context.Context, env *Env, call *Call, by knowledge.Member) ([]string, error) {
	return nil, env.Group.ChangeSettings(ctx, by,
		func(s *knowledge.Settings) error { s.TrainerRole = call.value("trainers"); return nil })
}

// addGels puts gels on the list, each by itself: one that cannot be is no reason to
// have the others typed again.
func addGels(ctx context.Context, env *Env, call *Call, by knowledge.Member) (problems []string, err error) {
	list := call.value(gelsField)
	if list == toFill { // a surface without forms
		return nil, nil
	}
	added := map[int64]bool{}
	for _, name := range strings.FieldsFunc(list, func(r rune) bool { return r == '\n' || r == ';' }) {
		name = trade.Tidy(strings.TrimLeft(name, " \t-•*"))
		if name == "" {
			continue
		}
		p, why, err := addGel(ctx, env, trade.Product{Name: name, Class: calc.GelClass(call.value(classField))}, by)
		switch {
		case err != nil:
			return problems, err
		case why != "":
			problems = append(problems, fmt.Sprintf("Left out, %s: %s.", echo(name), why))
		default:
			added[p.ID] = true
		}
	}
	if len(added) == 0 {
		return problems, refuse("", "No gel was added.")
	}
	alike, err := env.Group.AlikeProducts(ctx)
	for _, pair := range alike {
		if added[pair[1].ID] {
			problems = append(problems, fmt.Sprintf("%s is nearly %s. If they are one gel, /%s makes them one.",
				pair[1].Name, pair[0].Name, deskName))
		}
	}
	return problems, err
}

// addGel puts a gel on the list; why says why it was not.
func addGel(ctx context.Context, env *Env, p trade.Product, by knowledge.Member) (added trade.Product, why string,
	err error) {
	if found := patientdata.Look(p.Name); found.Verdict == patientdata.Doubtful {
		return added, "it may be " + found.Kind + "; if it is a gel, /" + addProductName + " takes it", nil
	}
	added, err = env.Group.AddProductBy(ctx, p, by)
	var field *trade.FieldError
	switch {
	case errors.Is(err, knowledge.ErrDuplicate):
		return added, "it is on the list", nil
	case errors.As(err, &field):
		return added, strings.TrimRight(field.Error(), "."), nil
	}
	return added, "", err
}

// addNeedles puts needles and cannulas on the list. One that is there stays as it is.
func addNeedles(ctx context.Context, env *Env, call *Call, by knowledge.Member) (problems []string, err error) {
	for _, size := range strings.Split(call.value("needles"), ",") {
		i, err := trade.ReadInstrument(size)
		if err == nil {
			_, err = env.Group.AddInstrumentBy(ctx, i, by)
		}
		if err != nil && !errors.Is(err, knowledge.ErrDuplicate) {
			return nil, err
		}
	}
	return nil, nil
}

// setWalls gives the needles without a wall class the one that was picked, where there
// is such a tube.
func setWalls(ctx context.Context, env *Env, call *Call, by knowledge.Member) (problems []string, err error) {
	wall := call.value("wall")
	if wall == notSure {
		return nil, nil
	}
	all, err := env.Group.Instruments(ctx)
	if err != nil {
		return nil, err
	}
	for _, i := range all {
		if !lacksWall(i) {
			continue
		}
		_, err := env.Group.CorrectInstrument(ctx, i.ID, by, "",
			func(i *trade.Instrument) error { i.Wall = calc.WallClass(wall); return nil })
		var field *trade.FieldError
		switch {
		case errors.As(err, &field), errors.Is(err, knowledge.ErrDuplicate):
			problems = append(problems, fmt.Sprintf("%dG has no %s wall: left open.", i.Gauge, wall))
		case err != nil:
			return nil, err
		}
	}
	return problems, nil
}

// lacksWall reports whether a needle or cannula in use would be known better by its wall
// class.
func lacksWall(i trade.Instrument) bool { return i.Wall == "" && i.BoreMM == 0 && i.RetiredOn == "" }
