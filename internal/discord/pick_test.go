package discord

import (
	"testing"

	"holdbench/internal/commands"
	"holdbench/internal/discord/discordtest"
)

// What is picked from a list is asked as if it had been typed, by whoever picked.
func TestAListSetsTheValueOfAnOption(t *testing.T) {
	s := play(t, discordtest.Options{})
	settings := commands.Request{Command: "trainer settings"}
	u := s.prompting(t)
	u.Card.Picks = []commands.Pick{
		{Label: "time zone", Request: settings, Option: "zone", Here: true,
			Items: []commands.Item{{Label: "Oslo", Value: "Europe/Oslo", Set: true},
				{Label: "Paris", Value: "Europe/Paris"}}},
		{Label: "trainers", Request: settings, Option: "trainers"},
		{Label: "reminders", Request: settings, Option: "reminders"},
		{Label: "take one on", Request: commands.Request{Command: "totest take"},
			Items: []commands.Item{{Label: "the first", Value: "1/1/1"}}},
	}
	if _, err := s.bot.Post(t.Context(), u); err != nil {
		t.Fatal(err)
	}
	on := s.said()[0]
	role, channel := s.guild.Role("teachers", 0), s.guild.Channel("reminders")
	wants(t, s.srv.SelectFrom(s.ada, on, "time zone", "Oslo").Message().Text(), "not open to you")
	for list, value := range map[string]string{"time zone": "Europe/Paris", "trainers": role.ID,
		"reminders": channel.ID} {
		said := s.srv.SelectFrom(s.tess, on, list, value).Message()
		if !said.Ephemeral || said.ID == on.ID {
			t.Errorf("%s: the answer is not a message for whoever picked alone:\n%s", list, said.Text())
		}
	}
	set, err := s.group(t).Settings(t.Context())
	if err != nil || set.Zone != "Europe/Paris" || set.TrainerRole != role.ID || set.ReminderChannel != channel.ID {
		t.Errorf("%+v, %v", set, err)
	}
	wants(t, s.srv.SelectFrom(s.tess, on, "take one on", "the first").Message().Text(), "Yours to test until")
}

// A list of a card that its reader alone sees is answered in its place.
func TestAListInPrivateIsAnsweredInItsPlace(t *testing.T) {
	s := play(t, discordtest.Options{})
	b, p := s.bot, place{server: s.guild.ID, hidden: true}
	var items []commands.Item
	for range 30 {
		items = append(items, commands.Item{Label: "", Value: "x"})
	}
	card := commands.Card{Title: "t", Picks: []commands.Pick{{Label: "sizes", Option: "zone", Items: items, Most: 30,
		Here:    true,
		Request: commands.Request{Command: "trainer settings"}}},
		Actions: []commands.Action{{Label: "on", Here: true, Request: commands.Request{Command: "holdbench start"}}}}
	rows := b.rows(card, p, "")
	list, on := rows[0].Components[0], rows[1].Components[0]
	if len(list.Options) != maxOptions || list.MaxValues != maxOptions || list.Options[0].Label != "…" ||
		list.CustomID[0] != listHere ||
		on.CustomID[0] != askHere {
		t.Errorf("%+v\n%+v", list, on)
	}
	if seen, direct := (&turn{bot: b, ix: interaction{server: s.guild.ID}}).here(),
		(&turn{bot: b}).here(); seen != asNew || direct != inPlace {
		t.Errorf("where others read along %v, in a direct message %v", seen, direct)
	}
}
