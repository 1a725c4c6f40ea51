package discord

import (
	"fmt"
	"math/rand/v2"
	"strings"

	"holdbench/internal/commands"
	"holdbench/internal/discord/discordtest"
)

// forger makes interactions and messages such as nobody means: a seed gives the
// same ones each time.
type forger struct {
	*rand.Rand
	all []*commands.Command
}

func newForger(seed uint64) *forger {
	return &forger{rand.New(rand.NewPCG(seed, 1)), commands.All()}
}

func pick[T any](f *forger, from ...T) T { return from[f.IntN(len(from))] }

// text is anything that somebody could type, or that a broken client could send.
func (f *forger) text() string {
	switch f.IntN(12) {
	case 0:
		return ""
	case 1:
		return strings.Repeat(pick(f, "x", "orrick ", "27G ", "🩸", "\u0301", "(", "%26"), f.IntN(6001))
	case 2, 3:
		return f.runes(f.IntN(60))
	case 4:
		return pick(f, "=HYPERLINK(\"x\")", "'; DROP TABLE tests; --", "<@1234567890123456789>", "@everyone", "```",
			"\x00", "\u202e", "a:hold?A=%", "../../etc/passwd", "{\"a\":1}", "\\", "${x}", "[](", "\xff")
	case 5:
		return pick(f, "1e309", "-0", "NaN", "٣٫٣", "0x1f", "9999999999999999999999", "3,3", "1/0", "½",
			"12:34.56–12:34.55", "0:00", "none", "−5", "١٢")
	case 6:
		return pick(f, "2026-02-30", "1970-01-01", "today", "yesterday", "9999-12-31", "2026-11-24T09:30", "31/31/3131",
			"0000-00-00")
	case 7:
		return pick(f, "Orrick Mid", "dunmere deep", "tamsel soft 30g 13mm", "25G 38 mm cannula", "supplied",
			"fixed-needle 0.3 mL", "yes", "B-1 3.3; B-2 none", "1", "145", "Europe/London", "remove Orrick Mid",
			"erase", "hyaluronic")
	case 8:
		return f.text() + pick(f, " ", "\n", ";", ":", ",") + f.text()
	case 9:
		return "product:" + f.text() + " note:\"" + f.text()
	}
	return fmt.Sprint(f.IntN(400)-50, pick(f, "", " s", " mL", "G", "g 13 mm", "%"))
}

func (f *forger) runes(n int) string {
	var b strings.Builder
	for range n {
		b.WriteRune(rune(pick(f, f.IntN(0x80), f.IntN(0x3000), 0x1F300+f.IntN(0x400), f.IntN(0x10FFFF))))
	}
	return b.String()
}

// value is anything that JSON can hold.
func (f *forger) value() any {
	switch f.IntN(10) {
	case 0:
		return nil
	case 1:
		return pick[any](f, true, 0, -1, 3.14, 1e300, 9007199254740993)
	case 2:
		return []any{f.text(), 1, nil}
	case 3:
		return map[string]any{"name": f.text(), "value": 1, "type": "x"}
	}
	return f.text()
}

// command is a declared one, mostly.
func (f *forger) command() *commands.Command {
	if f.IntN(20) == 0 {
		return &commands.Command{Name: f.text()}
	}
	return pick(f, f.all...)
}

// options are some of a command's, of any type, and some of nobody's.
func (f *forger) options(cmd *commands.Command) (options []any) {
	add := func(name string, value any) {
		options = append(options, map[string]any{"name": name, "type": f.IntN(13), "value": value})
	}
	for _, o := range cmd.Options {
		switch {
		case f.IntN(3) == 0:
		case len(o.Choices) > 0 && f.IntN(2) == 0:
			add(o.Name, pick(f, o.Choices...))
		case o.Kind == commands.Whole && f.IntN(2) == 0:
			add(o.Name, 1+f.IntN(200))
		case o.Kind == commands.Number && f.IntN(2) == 0:
			add(o.Name, o.Min+f.Float64()*(o.Max-o.Min))
		default:
			add(o.Name, f.value())
		}
	}
	if f.IntN(3) == 0 {
		add(textOption, f.value())
	}
	if f.IntN(8) == 0 {
		add(f.text(), f.value())
		options = append(options, nil, "x", 7, map[string]any{"name": "sub", "type": 1,
			"options": []any{map[string]any{"name": "x"}}})
	}
	f.Shuffle(len(options), func(i, j int) { options[i], options[j] = options[j], options[i] })
	return options
}

// customID is one that the bot could have made, one bent, or none of its.
func (f *forger) customID() string {
	kind := pick(f, "a", "s", "m", "p", "a", "x")
	switch f.IntN(5) {
	case 0:
		return f.text()
	case 1:
		return kind + "~" + strings.ToUpper(f.runes(8))
	case 2:
		return kind + ":" + f.command().Name + "?" + pick(f, "A", "T", "C", "K", "L", "H", "N", "zz", "") + "=" +
			f.text() + "&" + f.text()
	}
	req := commands.Request{Command: f.command().Name, Text: f.text(),
		About:  pick(f, "", "1/1/1", "0/0/0", "-1/x/y", "1/30G 13 mm needle/supplied", "9/9/9/9", f.text()),
		Values: map[string]string{}}
	for _, o := range f.command().Options {
		if f.IntN(2) == 0 {
			req.Values[o.Name] = f.text()
		}
	}
	line, _ := pack(req, pick(f, "", "1", f.text()))
	return kind + ":" + line
}

// fields are what a form sends back, and what none does.
func (f *forger) fields(cmd *commands.Command) (parts []any) {
	names := []string{f.text(), "gel", "setup", "result"}
	if cmd.Form != nil {
		for _, field := range cmd.Form.Fields {
			names = append(names, field.Name)
		}
	}
	for _, name := range names {
		input := map[string]any{"type": pick[any](f, 4, 3, 99, "x", nil), "custom_id": name, "value": f.value(),
			"values": []any{f.text(), nil}}
		parts = append(parts, pick[any](f,
			map[string]any{"type": 18, "component": input},
			map[string]any{"type": 1, "components": []any{input, nil, 5}}, input,
			map[string]any{"type": 77, "component": []any{input}}, nil, "x"))
	}
	return parts
}

// send sends one forged thing; nil where nobody has to answer it.
func (f *forger) send(s *scene, on discordtest.Message) *discordtest.Answer {
	u, place := pick(f, s.ada, s.tess), discordtest.Place(s.guild)
	if f.IntN(6) == 0 {
		place = u.DM()
	}
	cmd := f.command()
	switch f.IntN(20) {
	case 0, 1, 2, 3, 4, 5, 6:
		return s.srv.Forge(u, place, discordtest.ForgedCommand, "/"+cmd.Name,
			map[string]any{"id": "1", "name": cmd.Name, "type": 1, "options": f.options(cmd)}, discordtest.Message{})
	case 7, 8, 9:
		options := append(f.options(cmd), map[string]any{"name": pick(f, "product", "instrument", "syringe", "test",
			f.text()), "type": 3, "focused": true, "value": f.value()})
		return s.srv.Forge(u, place, discordtest.ForgedAutocomplete, "suggestions",
			map[string]any{"id": "1", "name": cmd.Name, "type": 1, "options": options}, discordtest.Message{})
	case 10, 11, 12, 13:
		return s.srv.Forge(u, s.guild, discordtest.ForgedComponent, "button",
			map[string]any{"custom_id": f.customID(), "component_type": pick[any](f, 2, 3, 5, 8, 99, "x", nil),
				"values": pick[any](f, nil, []any{}, []any{f.customID()}, []any{f.value(), 3}, "x")}, on)
	case 14, 15, 16:
		return s.srv.Forge(u, place, discordtest.ForgedModal, "form",
			map[string]any{"custom_id": pick(f, "m:"+cmd.Name+"?", f.customID()),
				"components": pick[any](f, f.fields(cmd), f.fields(cmd), nil, "x")}, discordtest.Message{})
	case 17:
		return s.srv.Forge(u, place, discordtest.ForgedCommand, "menu",
			map[string]any{"id": "1", "name": pick(f, "Log this test", f.text()), "type": pick[any](f, 3, 3, 2),
				"target_id": pick(f, "5", f.text()),
				"resolved": pick[any](f, map[string]any{"messages": map[string]any{"5": map[string]any{"content": f.value(),
					"channel_id": pick(f, "9", f.text())}}}, nil, "x")}, discordtest.Message{})
	case 18:
		f.say(u.DM(), s, u, f.text())
	default:
		f.say(s.guild, s, u, fmt.Sprintf("<@%s> %s%s", s.bot.self.Load().user, pick(f, "", "/"+cmd.Name+" "), f.text()))
	}
	return nil
}

// say says what can be said in a message: at most 2000 characters, not nothing.
func (f *forger) say(place discordtest.Place, s *scene, u *discordtest.User, text string) {
	if runes := []rune(text); len(runes) > 1900 {
		text = string(runes[:1900])
	}
	if strings.TrimSpace(text) != "" {
		s.srv.Say(u, place, text)
	}
}
