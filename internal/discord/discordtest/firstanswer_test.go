package discordtest_test

import (
	"fmt"
	"testing"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/discord/discordtest"
)

// modalLimits are first answers to a command, and where the platform refuses
// them. Sources: interactions/receiving-and-responding and
// components/reference of August 2026.
func modalLimits() []limit {
	modal := func(change obj) obj {
		data := obj{"custom_id": "m", "title": "Log", "components": arr{labelled(obj{})}}
		for key, value := range change {
			data[key] = value
		}
		return obj{"type": 9, "data": data}
	}
	one := func(change obj) obj { return modal(obj{"components": arr{labelled(change)}}) }
	const input = "data.components.0.component."
	return []limit{
		{"a label with a text input", modal(nil), ""},
		{"an old row with a text input", modal(obj{"components": arr{row(inputOf(obj{"label": "Time"}))}}), ""},
		{"an old row without a label", modal(obj{"components": arr{row(inputOf(nil))}}),
			"data.components.0.components.0.label"},
		{"two inputs in a row", modal(obj{"components": arr{row(inputOf(obj{"label": "a"}),
			inputOf(obj{"label": "b", "custom_id": "b"}))}}), "data.components.0.components"},
		{"title of 46", modal(obj{"title": long(46)}), "data.title"},
		{"no title", modal(obj{"title": nil}), "data.title"},
		{"custom_id of 101", modal(obj{"custom_id": long(101)}), "data.custom_id"},
		{"no fields", modal(obj{"components": arr{}}), "data.components"},
		{"six fields", modal(obj{"components": many(6, func(i int) any { return labelled(obj{"custom_id": fmt.Sprint(i)}) })}), "data.components"},
		{"a button", modal(obj{"components": arr{row(press(1))}}), "data.components.0.components.0.type"},
		{"label of 46", modal(obj{"components": arr{obj{"type": 18, "label": long(46), "component": inputOf(nil)}}}),
			"data.components.0.label"},
		{"description of 101", modal(obj{"components": arr{obj{"type": 18, "label": "l", "description": long(101),
			"component": inputOf(nil)}}}), "data.components.0.description"},
		{"a label within", one(obj{"label": "x"}), input + "label"},
		{"value of 4001", one(obj{"value": long(4001)}), input + "value"},
		{"value above its own limit", one(obj{"max_length": 5, "value": "123456"}), input + "value"},
		{"max_length of 4001", one(obj{"max_length": 4001}), input + "max_length"},
		{"least above most", one(obj{"min_length": 6, "max_length": 5}), input + "min_length"},
		{"placeholder of 101", one(obj{"placeholder": long(101)}), input + "placeholder"},
		{"style 3", one(obj{"style": 3}), input + "style"},
		{"custom_id twice", modal(obj{"components": arr{labelled(nil), labelled(nil)}}),
			"data.components.1.component.custom_id"},
		{"an update of nothing", obj{"type": 7, "data": obj{"content": "x"}}, "type"},
		{"suggestions for a command", obj{"type": 8, "data": obj{"choices": arr{}}}, "type"},
		{"no type", obj{"data": obj{"content": "x"}}, "type"},
		{"content of 2001", obj{"type": 4, "data": obj{"content": long(2001)}}, "data.content"},
	}
}

func inputOf(change obj) obj {
	input := obj{"type": 4, "custom_id": "t", "style": 1}
	for key, value := range change {
		input[key] = value
	}
	return input
}

func labelled(change obj) any { return obj{"type": 18, "label": "Time", "component": inputOf(change)} }

func TestFirstAnswersAreHeldToTheLimits(t *testing.T) {
	t.Parallel()
	got, handle := took()
	s := play(t, discordtest.Options{}, handle)
	for _, l := range modalLimits() {
		if l.where != "" {
			s.srv.ExpectViolation("callback: " + l.where + ":")
		}
		s.ask()
		i := next(t, got)
		wantForm(t, l.scene, s.answer(i, l.body), l.where)
		if l.where != "" { // a refused answer leaves the interaction open
			respond(t, s.dg, i, discordgo.InteractionResponseDeferredChannelMessageWithSource, nil)
		}
	}
}

// answer sends a raw first answer.
func (s scene) answer(i *discordgo.InteractionCreate, body obj) error {
	url := discordgo.EndpointInteractionResponse(i.ID, i.Token)
	_, err := s.dg.RequestWithBucketID("POST", url, body, url)
	return err
}

func TestSuggestionsAreHeldToTheLimits(t *testing.T) {
	t.Parallel()
	got, handle := took()
	s := play(t, discordtest.Options{}, handle)
	choice := func(name string, value any) any { return obj{"name": name, "value": value} }
	choices := func(all ...any) obj { return obj{"type": 8, "data": obj{"choices": all}} }
	for _, l := range []struct {
		limit
		option string
	}{
		{limit{"25 choices", choices(many(25, func(i int) any { return choice(fmt.Sprint(i), "v") })...), ""},
			"product"},
		{limit{"26 choices", choices(many(26, func(i int) any { return choice(fmt.Sprint(i), "v") })...),
			"data.choices"}, "product"},
		{limit{"name of 101", choices(choice(long(101), "v")), "data.choices.0.name"}, "product"},
		{limit{"value of 101", choices(choice("n", long(101))), "data.choices.0.value"}, "product"},
		{limit{"a number for a text", choices(choice("n", 1)), "data.choices.0.value"}, "product"},
		{limit{"a text for a number", choices(choice("n", "1")), "data.choices.0.value"}, "by"},
		{limit{"a fraction for a whole number", choices(choice("n", 1.5)), "data.choices.0.value"}, "by"},
		{limit{"a whole number", choices(choice("n", 1)), ""}, "by"},
		{limit{"a message", obj{"type": 4, "data": obj{"content": "x"}}, "type"}, "product"},
	} {
		if l.where != "" {
			s.srv.ExpectViolation("callback: " + l.where + ":")
		}
		s.srv.Autocomplete(s.ada, s.guild, "hold", l.option, "o")
		i := next(t, got)
		wantForm(t, l.scene, s.answer(i, l.body), l.where)
		if l.where != "" {
			if err := s.answer(i, choices()); err != nil {
				t.Error(err)
			}
		}
	}
}

func TestSuggestionsReachThePerson(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, func(dg *discordgo.Session, i *discordgo.InteractionCreate) {
		for _, o := range i.ApplicationCommandData().Options {
			if typed, isText := o.Value.(string); o.Focused && !isText {
				t.Errorf("typed is %v (%T): the platform sends what stands there, as text", typed, o.Value)
			}
		}
		respond(t, dg, i, discordgo.InteractionApplicationCommandAutocompleteResult, &discordgo.InteractionResponseData{
			Choices: []*discordgo.ApplicationCommandOptionChoice{{Name: "8 seconds", Value: 8}},
		})
	})
	sg := s.srv.Autocomplete(s.ada, s.guild, "hold", "by", "8", discordtest.Opt("product", "x"))
	got := sg.Choices()
	if len(got) != 1 || got[0] != (discordtest.Choice{Name: "8 seconds", Value: 8}) || sg.Latency() <= 0 {
		t.Errorf("got %v after %s", got, sg.Latency())
	}
}
