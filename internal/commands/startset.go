package commands

import (
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

// setBeginning stores what a step was given. says has warnings of what was not stored and why, and a question if one is
// open. at is the step to show next: the one whose input was not stored, or the one that was given where the request
// names no step, else 0.
func setBeginning(ctx context.Context, env *Env, call *Call) (at int, says Card, err error) {
	for _, set := range []struct {
		step    int
		options []string
		do      func(context.Context, *Env, *Call, *Card) error
	}{
		{settingsStep(call), []string{nameOption, "zone", "ceiling", "reminders", "trainers"}, setSettings},
		{gelStep, []string{gelsOption}, addGels},
		{needleStep, []string{needlesOption}, addNeedles}, {needleStep, []string{wallOption}, setWalls},
	} {
		if !slices.ContainsFunc(set.options, call.given) {
			continue
		}
		if !call.given("step") {
			at = set.step
		}
		if call.by, err = call.Asker.member(ctx, env); err != nil {
			return 0, says, err
		}
		err := set.do(ctx, env, call, &says)
		if words, theirs := faultWords(err); theirs {
			at = set.step
			says.warn("%s", words)
		} else if err != nil {
			return 0, says, err
		}
	}
	return at, says, nil
}

// setSettings stores the group's settings that were given; a channel only if the tool may post there. The store refuses
// a role that everybody has.
func setSettings(ctx context.Context, env *Env, call *Call, _ *Card) error {
	if err := env.mayPost(ctx, call.value("reminders")); err != nil {
		return err
	}
	return env.Group.ChangeSettings(ctx, call.by, call.settingsGiven)
}

// settingsStep is the step of the settings that were given.
func settingsStep(call *Call) int {
	switch {
	case call.given("reminders"):
		return reminderStep
	case call.given("trainers"):
		return trainerStep
	}
	return groupStep
}

// addGels puts gels on the list one by one, so that a name that cannot be taken does not mean typing the others again.
// Names that are nearly those of gels on the list wait. It asks about the first of them; the answer comes with that
// name in front of the others that wait.
func addGels(ctx context.Context, env *Env, call *Call, says *Card) error {
	list := call.value(gelsOption)
	if list == toFill { // a surface without forms
		return nil
	}
	added, answered := 0, call.yes(sureOption) || call.given(sameOption)
	var near trade.Product // what the first name that waits is near to
	var waiting []string
	for _, name := range strings.FieldsFunc(list, func(r rune) bool { return r == '\n' || r == ';' }) {
		name = trade.Tidy(strings.TrimLeft(name, " \t-•*"))
		if name == "" {
			continue
		}
		p, why, err := addGel(ctx, env, call, name, answered)
		answered = false
		switch {
		case err != nil:
			return err
		case why != "":
			says.warn("Left out, %s: %s.", echo(name), why)
		case p.ID == 0:
			added++
		default:
			if waiting = append(waiting, name); near.ID == 0 {
				near = p
			}
		}
	}
	switch {
	case len(waiting) > 0:
		askWaiting(call, says, waiting, near)
	case added == 0:
		return refuse("", "No gel was added.")
	}
	return nil
}

// askWaiting asks whether the first of the names that wait is a gel of its own or another name of the one near it.
func askWaiting(call *Call, says *Card, waiting []string, near trade.Product) {
	again := Request{Command: startName}.with(gelsOption, strings.Join(waiting, "; ")).
		with(classOption, call.value(classOption))
	if call.given("step") {
		again = again.with("step", call.value("step"))
	}
	says.Verdict, says.Choices = askNear(waiting[0], near, again.with(sureOption, "yes"),
		again.with(sameOption, near.Name))
	others, leave := "", "leave it out"
	if more := len(waiting) - 1; more > 0 {
		others = fmt.Sprintf(" Then %s %s asked about.", count(more, "more name"), oneOrMore(more, "is", "are"))
		leave = fmt.Sprintf("leave these %d out", len(waiting))
	}
	says.line("It is not stored until you pick one.%s", others)
	says.Actions = []Action{toStep(leave, gelStep)}
}

// addGel puts a gel on the list; where the member has answered that it is another name of a gel there, it adds the name
// to that one. near is the gel of nearly that name if the member has to be asked; why says why the name was left out.
func addGel(ctx context.Context, env *Env, call *Call, name string, answered bool) (
	near trade.Product, why string, err error) {
	if found := patientdata.Look(name); found.Verdict == patientdata.Doubtful {
		return near, "it may be " + found.Kind + "; if it is a gel, /" + addProductName + " takes it", nil
	}
	near, err = nearGel(ctx, env, 0, name)
	same := call.value(sameOption)
	switch {
	case err != nil || near.ID != 0 && !answered:
	case answered && same != "":
		if near, err = env.Group.Product(ctx, same); err == nil {
			_, err = env.Group.AddAlias(ctx, near.ID, name, call.by)
		}
	default:
		var apart []int64
		if near.ID != 0 {
			apart = []int64{near.ID}
		}
		_, err = env.Group.AddProductBy(ctx, trade.Product{Name: name,
			Class: calc.GelClass(call.value(classOption))}, call.by, apart...)
	}
	if answered || err != nil {
		near = trade.Product{}
	}
	field, unfit := errors.AsType[*trade.FieldError](err)
	switch {
	case errors.Is(err, knowledge.ErrDuplicate):
		return near, "it is on the list", nil
	case isNotFound(err):
		return near, "the gel it is another name for is not on the list", nil
	case unfit:
		return near, strings.TrimRight(field.Error(), "."), nil
	}
	return near, "", err
}

// addNeedles puts needles and cannulas on the list. Those that are on it stay as they are.
func addNeedles(ctx context.Context, env *Env, call *Call, _ *Card) error {
	for _, size := range strings.Split(call.value(needlesOption), ",") {
		i, err := trade.ReadInstrument(size)
		if err == nil {
			_, err = env.Group.AddInstrumentBy(ctx, i, call.by)
		}
		if err != nil && !errors.Is(err, knowledge.ErrDuplicate) {
			return err
		}
	}
	return nil
}

// setWalls gives the needles without a wall class the one that was picked, where their gauge is made with it.
func setWalls(ctx context.Context, env *Env, call *Call, says *Card) error {
	wall := call.value(wallOption)
	if wall == notSure {
		return nil
	}
	all, err := env.Group.Instruments(ctx)
	if err != nil {
		return err
	}
	for _, i := range all {
		if !lacksWall(i) {
			continue
		}
		_, err := env.Group.CorrectInstrument(ctx, i.ID, call.by, "",
			func(i *trade.Instrument) error { i.Wall = calc.WallClass(wall); return nil })
		var field *trade.FieldError
		switch {
		case errors.As(err, &field), errors.Is(err, knowledge.ErrDuplicate):
			says.warn("%dG has no %s wall: not set.", i.Gauge, wall)
		case err != nil:
			return err
		}
	}
	return nil
}

// lacksWall reports whether a needle or cannula in use has neither a wall class nor a measured bore.
func lacksWall(i trade.Instrument) bool { return i.Wall == "" && i.BoreMM == 0 && i.RetiredOn == "" }
