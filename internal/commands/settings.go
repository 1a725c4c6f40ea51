package commands

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/say"
)

const settingsName = "trainer settings"

var settingsCommand = &Command{
	Name:    settingsName,
	Summary: "What the group has set for itself: ceiling, time zone, trainers, weekly prompt (trainer)",
	Help: "With nothing it shows what is set; an option sets it. The ceiling is the longest hold the group calls " +
		"usable.",
	Options: []Option{
		{Name: "ceiling", Help: "the longest usable hold", Kind: Number, Unit: "s", Min: 1,
			Max: float64(knowledge.MaxCeiling), Suggest: likely("10", "6", "8", "12", "15", "20")},
		{Name: "tests", Help: "how many tests a hold needs", Kind: Whole, Min: 2, Max: knowledge.MaxLeast,
			Suggest: likely("3", "4", "5", "6")},
		{Name: "members", Help: "by how many members", Kind: Whole, Min: 1, Max: knowledge.MaxLeast,
			Suggest: likely("2", "3", "4")},
		{Name: "target", Help: "the share of tests that a hold must cover", Kind: Number, Unit: "%", Min: 50, Max: 99,
			Suggest: likely("90", "80", "95")},
		{Name: "name", Help: "what the group is called", Kept: true},
		{Name: "zone", Help: "the time zone of dates, as in Europe/London", Suggest: suggestZone},
		{Name: "trainers", Help: "the role whose holders are trainers, beside those who manage the server",
			Kind: PlatformRole},
		{Name: "reminders", Help: "the channel for the weekly prompt; there is none until it is set",
			Kind: PlatformChannel},
		{Name: "day", Help: "the day of the weekly prompt", Choices: weekdays()},
		{Name: "hour", Help: "its hour, in the group's time zone; private messages to members also wait for it",
			Kind: Whole, Min: 0, Max: 23, Suggest: likely("7", "8", "9", "12", "17", "18", "19", "20")},
		{Name: "boxitems", Help: "how many syringes put aside make a bench session worth proposing", Kind: Whole,
			Min: 1, Max: 50, Suggest: likely("5", "3", "4", "6", "8", "10")},
		{Name: "boxdays", Help: "or after how many days at most for the oldest", Kind: Whole, Min: 1, Max: 365,
			Suggest: likely("28", "14", "21", "56")},
		{Name: "keepdays", Help: "how many days the log is kept after the bot left the server", Kind: Whole, Min: 1,
			Max: 3650, Suggest: likely("30", "90", "365")},
		{Name: "protocol", Most: knowledge.LongestLink,
			Help: "the https address of your emergency protocol, shown first when a message tells of harm"},
		{Name: "off", Help: "what to switch off again", Choices: []string{"trainers", "reminders", "protocol"}},
	},
	Who:      knowledge.TrainerRole,
	Examples: []string{"/trainer settings", "/trainer settings ceiling:12"},
	Run:      runSettings,
}

func runSettings(ctx context.Context, env *Env, call *Call) (Card, error) {
	before, settings := call.settings, call.settings
	if err := call.settingsGiven(&settings); err != nil {
		return Card{}, err
	}
	if settings.ReminderChannel != before.ReminderChannel {
		if err := env.mayPost(ctx, settings.ReminderChannel); err != nil {
			return Card{}, err
		}
	}
	if settings == before { // nothing to store
		return settingsCard(settings), nil
	}
	var err error
	if call.by, err = call.Asker.member(ctx, env); err != nil {
		return Card{}, err
	}
	if err := env.Group.ChangeSettings(ctx, call.by, call.settingsGiven); err != nil {
		return Card{}, err
	}
	c := settingsCard(settings)
	if settings.TrainerRole != before.TrainerRole && settings.TrainerRole != "" {
		c.line("%s", trainersSeeWords)
	}
	return offerUndo(ctx, env, call, c), nil
}

// trainersSeeWords says how members with the role get to see the trainer's commands: the platform decides who is shown
// a command, and has a page for it.
const trainersSeeWords = "Members with the role may use /trainer now, but the platform shows it to them only once " +
	"you allow it: Server Settings → Integrations → this bot → /trainer → add the role. The bot cannot do that."

// settingsGiven sets the settings that were given, and leaves the others.
func (c *Call) settingsGiven(s *knowledge.Settings) error {
	if ceiling, given := c.number("ceiling"); given {
		s.Ceiling = calc.Seconds(ceiling)
	}
	if target, given := c.number("target"); given {
		s.Target = target / 100
	}
	setNumbers(s, c)
	return setTexts(s, c)
}

// setTexts sets what is a name or an id.
func setTexts(s *knowledge.Settings, call *Call) error {
	for option, text := range map[string]*string{"name": &s.Name, "zone": &s.Zone, "trainers": &s.TrainerRole,
		"reminders": &s.ReminderChannel, "protocol": &s.ProtocolLink} {
		value, off := strings.TrimPrefix(call.value(option), toFill), call.value("off") == option
		if off && value != "" {
			return refuse("Choose one.", "%s cannot be set and switched off at once.", option)
		}
		if off || value != "" {
			*text = value
		}
	}
	return nil
}

// weekdays are the names of the days, Monday first.
func weekdays() []string {
	return []string{"Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"}
}

// setNumbers sets what is a day or a number.
func setNumbers(s *knowledge.Settings, call *Call) {
	if day := call.value("day"); day != "" {
		s.ReminderWeekday = time.Weekday((slices.Index(weekdays(), day) + 1) % 7) // time.Sunday is 0
	}
	s.LeastTests = call.whole("tests", s.LeastTests)
	s.LeastMembers = call.whole("members", s.LeastMembers)
	s.ReminderHour = call.whole("hour", s.ReminderHour)
	s.BoxItems = call.whole("boxitems", s.BoxItems)
	s.BoxDays = call.whole("boxdays", s.BoxDays)
	s.KeepDays = call.whole("keepdays", s.KeepDays)
}

func settingsCard(s knowledge.Settings) Card {
	c := Card{Title: s.Name + ", settings", Role: s.TrainerRole, Channel: s.ReminderChannel}
	c.fact("Ceiling", "%s", exactSeconds(float64(s.Ceiling)))
	c.fact("A hold", "covers %s; needs %s", say.Target(s.Target), testsBy(s.LeastTests, s.LeastMembers))
	c.fact("Time zone", "%s", s.Zone)
	c.fact("Trainers", "%s", trainersWords(s))
	c.fact("Emergency protocol", "%s", cmp.Or(s.ProtocolLink, "no link set; the option protocol sets it"))
	c.fact("Weekly prompt", "%s", orWords(s.ReminderChannel, "none until the option reminders sets a channel",
		"in channel %s"))
	c.fact("Its day and hour", "%s, %02d:00", s.ReminderWeekday, s.ReminderHour)
	c.fact("Bench session proposed", "at %s put aside, or before the oldest is %s old", count(s.BoxItems, "syringe"),
		count(s.BoxDays, "day"))
	c.fact("Kept after leaving the server", "%s", count(s.KeepDays, "day"))
	return c
}

// orWords are the words with an id, or those without one.
func orWords(id, without, with string) string {
	if id == "" {
		return without
	}
	return fmt.Sprintf(with, id)
}
