package discordtest_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/discord/discordtest"
)

func command(change obj) obj {
	cmd := obj{"name": "hold", "description": "How long to hold"}
	for key, value := range change {
		cmd[key] = value
	}
	return cmd
}

func option(change obj) obj {
	o := obj{"type": 3, "name": "product", "description": "the gel"}
	for key, value := range change {
		o[key] = value
	}
	return o
}

func with(options ...any) obj { return command(obj{"options": options}) }

func named(n int) arr {
	return many(n, func(i int) any { return option(obj{"name": fmt.Sprint("o", i)}) })
}

// commandLimits are declarations and where the platform refuses them. Source:
// interactions/application-commands of August 2026.
func commandLimits() []limit {
	choice := func(name string, value any) any { return obj{"name": name, "value": value} }
	choices := func(kind int, all ...any) obj { return with(option(obj{"type": kind, "choices": all})) }
	wide := func(last int) obj { // 4 + 16 + 3·(2 + 100 + 25·(100 + 2)) + 1 + last = 7977 + last characters
		options := many(3, func(i int) any {
			return option(obj{"name": fmt.Sprint("o", i), "description": long(100),
				"choices": many(25, func(j int) any {
					return choice(fmt.Sprintf("%02d%s", j, long(98)), long(2))
				})})
		})
		return with(append(options, option(obj{"name": "x", "description": long(last)}))...)
	}
	return []limit{
		{"plain", command(nil), ""},
		{"Thai name", command(obj{"name": "ทดสอบ"}), ""},
		{"capitals", command(obj{"name": "Hold"}), "0.name"},
		{"a space", command(obj{"name": "hold it"}), "0.name"},
		{"a space in a message command", obj{"type": 3, "name": "Log this test"}, ""},
		{"33 characters", command(obj{"name": strings.Repeat("a", 33)}), "0.name"},
		{"no description", command(obj{"description": ""}), "0.description"},
		{"description of 100", command(obj{"description": long(100)}), ""},
		{"description of 101", command(obj{"description": long(101)}), "0.description"},
		{"a description for a message command", obj{"type": 3, "name": "Log", "description": "x"}, "0.description"},
		{"25 options", command(obj{"options": named(25)}), ""},
		{"26 options", command(obj{"options": named(26)}), "0.options"},
		{"name twice", with(option(nil), option(nil)), "0.options.1.name"},
		{"required after optional", with(option(nil), option(obj{"name": "by", "required": true})),
			"0.options.1.required"},
		{"required before optional", with(option(obj{"name": "by", "required": true}), option(nil)), ""},
		{"25 choices", choices(3, many(25, func(i int) any { return choice(fmt.Sprint(i), "v") })...), ""},
		{"26 choices", choices(3, many(26, func(i int) any { return choice(fmt.Sprint(i), "v") })...),
			"0.options.0.choices"},
		{"choice name of 101", choices(3, choice(long(101), "v")), "0.options.0.choices.0.name"},
		{"choice value of 101", choices(3, choice("n", long(101))), "0.options.0.choices.0.value"},
		{"a text choice for a number", choices(4, choice("n", "v")), "0.options.0.choices.0.value"},
		{"choices and autocomplete", with(option(obj{"autocomplete": true, "choices": arr{choice("n", "v")}})),
			"0.options.0.autocomplete"},
		{"autocomplete of a user", with(option(obj{"type": 6, "autocomplete": true})), "0.options.0.autocomplete"},
		{"max_length of 6001", with(option(obj{"max_length": 6001})), "0.options.0.max_length"},
		{"max_length of 0", with(option(obj{"max_length": 0})), "0.options.0.max_length"},
		{"min_length above max_length", with(option(obj{"min_length": 6, "max_length": 5})), "0.options.0.min_length"},
		{"max_length of a number", with(option(obj{"type": 4, "max_length": 5})), "0.options.0.max_length"},
		{"min_value of a text", with(option(obj{"min_value": 5})), "0.options.0.min_value"},
		{"a fraction for a whole number", with(option(obj{"type": 4, "min_value": 0.5})), "0.options.0.min_value"},
		{"beyond 2^53", with(option(obj{"type": 4, "max_value": 1 << 54})), "0.options.0.max_value"},
		{"min_value above max_value", with(option(obj{"type": 10, "min_value": 2, "max_value": 1})),
			"0.options.0.min_value"},
		{"a sub-command beside a value", with(obj{"type": 1, "name": "add", "description": "x"}, option(nil)),
			"0.options"},
		{"a value in a group", with(obj{"type": 2, "name": "add", "description": "x", "options": arr{option(nil)}}),
			"0.options.0.options.0.type"},
		{"a group in a group", with(obj{"type": 2, "name": "a", "description": "x",
			"options": arr{obj{"type": 2, "name": "b", "description": "x"}}}), "0.options.0.options.0.type"},
		{"sub-commands", with(obj{"type": 1, "name": "add", "description": "x", "options": arr{option(nil)}}), ""},
		{"unknown locale", command(obj{"name_localizations": obj{"xx": "halt"}}), "0.name_localizations.xx"},
		{"a translation in capitals", command(obj{"name_localizations": obj{"de": "Halt"}}), "0.name_localizations.de"},
		{"a long translation", command(obj{"description_localizations": obj{"de": long(101)}}),
			"0.description_localizations.de"},
		{"unknown context", command(obj{"contexts": arr{3}}), "0.contexts"},
		{"permissions in words", command(obj{"default_member_permissions": "admin"}), "0.default_member_permissions"},
		{"8000 characters in all", wide(23), ""},
		{"8001 characters in all", wide(24), "0"},
		{"a name twice", nil, "1.name"},
	}
}

func TestCommandsAreHeldToTheLimits(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{GlobalLimit: discordtest.Off}, nil)
	url := discordgo.EndpointApplicationGlobalCommands(s.srv.ApplicationID())
	for _, l := range commandLimits() {
		if l.where != "" {
			s.srv.ExpectViolation("commands: " + l.where + ":")
		}
		body := arr{l.body}
		if l.body == nil {
			body = arr{command(nil), command(nil)}
		}
		_, err := s.dg.RequestWithBucketID("PUT", url, body, url)
		wantForm(t, l.scene, err, l.where)
	}
}

func TestAnOverwriteKeepsWhatDidNotChange(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	app := s.srv.ApplicationID()
	before, err := s.dg.ApplicationCommands(app, "")
	if err != nil || len(before) != 1 {
		t.Fatalf("%v, %v", before, err)
	}
	changed := hold()
	changed.Description = "Something else"
	after, err := s.dg.ApplicationCommandBulkOverwrite(app, "",
		[]*discordgo.ApplicationCommand{hold(), {Type: discordgo.MessageApplicationCommand, Name: "Log this"}})
	if err != nil || len(after) != 2 || after[0].Version != before[0].Version || after[0].ID != before[0].ID {
		t.Errorf("unchanged: %+v, %v", after, err)
	}
	after, err = s.dg.ApplicationCommandBulkOverwrite(app, "", []*discordgo.ApplicationCommand{changed})
	if err != nil || len(after) != 1 || after[0].Version == before[0].Version || after[0].ID != before[0].ID {
		t.Errorf("changed: %+v, %v", after, err)
	}
	after, err = s.dg.ApplicationCommandBulkOverwrite(app, "", []*discordgo.ApplicationCommand{})
	if err != nil || len(after) != 0 {
		t.Errorf("emptied: %+v, %v", after, err)
	}
}

func TestCommandsOfAnotherApplication(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	_, err := s.dg.ApplicationCommands("1", "")
	wantStatus(t, err, 404, 10002)
}

func TestTwoHundredCreatesADay(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	s.srv.ExpectViolation("30034")
	s.srv.ExpectViolation("30032")
	batch := func(from, n int) error {
		var all []*discordgo.ApplicationCommand
		for i := range n {
			all = append(all, &discordgo.ApplicationCommand{Name: fmt.Sprint("c", from+i), Description: "x"})
		}
		_, err := s.dg.ApplicationCommandBulkOverwrite(s.srv.ApplicationID(), "", all)
		return err
	}
	wantStatus(t, batch(0, 101), 400, 30032)
	for _, from := range []int{0, 100} { // 1 by the scene, 100, 99
		if err := batch(from, 100-from/100); err != nil {
			t.Fatal(err)
		}
	}
	wantStatus(t, batch(300, 1), 400, 30034)
	s.srv.Clock.Advance(25 * time.Hour)
	if err := batch(300, 1); err != nil {
		t.Error(err)
	}
}
