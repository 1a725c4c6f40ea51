package commands

import (
	"context"
	"fmt"
	"slices"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
)

const settingsName = "settings"

func settingsCommand() *Command {
	return &Command{
		Name:    settingsName,
		Summary: "What the group has set for itself: ceiling, time zone, trainers, weekly prompt (trainer)",
		Help:    "With nothing it shows what is set; with an option it sets that. The ceiling is the longest hold the group calls usable.",
		Options: []Option{
			{Name: "ceiling", Help: "the longest usable hold", Kind: Number, Unit: "s", Min: 1, Max: float64(knowledge.MaxCeiling)},
			{Name: "zone", Help: "the time zone of dates, as in Europe/London"},
			{Name: "trainers", Help: "the role whose holders are trainers, beside those who manage the server", Kind: PlatformRole},
			{Name: "reminders", Help: "the channel for the weekly prompt; no prompt comes before it is set", Kind: PlatformChannel},
			{Name: "day", Help: "the day of the weekly prompt", Choices: weekdays()},
			{Name: "hour", Help: "its hour, where the group is; what a member is told in private comes from then on, too", Kind: Whole, Min: 0, Max: 23},
			{Name: "boxitems", Help: "a bench session is proposed at so many syringes put aside", Kind: Whole, Min: 1, Max: 50},
			{Name: "boxdays", Help: "or before the oldest has lain there so many days", Kind: Whole, Min: 1, Max: 365},
			{Name: "keepdays", Help: "the log is kept so many days after the bot left the server", Kind: Whole, Min: 1, Max: 3650},
			{Name: "protocol", Help: "the https address of your emergency protocol, shown first when a message tells of harm", Most: knowledge.LongestLink},
			{Name: "off", Help: "what to switch off again", Choices: []string{"trainers", "reminders", "protocol"}},
		},
		Who:      knowledge.TrainerRole,
		Examples: []string{"/settings", "/settings ceiling:12"},
		Run:      runSettings,
	}
}

func runSettings(ctx context.Context, env *Env, req Request) (Card, error) {
	if s, given := req.number("ceiling"); given {
		if err := env.Group.SetCeiling(ctx, calc.Seconds(s)); err != nil {
			return Card{}, err
		}
	}
	setters := []struct {
		option string
		set    func(context.Context, string) error
	}{
		{"zone", env.Group.SetZone}, {"trainers", env.Group.SetTrainerRole}, {"reminders", env.Group.SetReminderChannel},
		{"protocol", env.Group.SetProtocolLink},
	}
	for _, s := range setters {
		value := req.value(s.option)
		if req.value("off") == s.option && value != "" {
			return Card{}, refuse("Choose one.", "%s cannot be set and switched off at once.", s.option)
		}
		if value == "" && req.value("off") != s.option {
			continue
		}
		if err := s.set(ctx, value); err != nil {
			return Card{}, err
		}
	}
	if err := setNumbers(ctx, env, req); err != nil {
		return Card{}, err
	}
	settings, err := env.Group.Settings(ctx)
	if err != nil {
		return Card{}, err
	}
	return settingsCard(settings), nil
}

// weekdays are the names of the days, Monday first.
func weekdays() []string {
	var names []string
	for day := time.Monday; day <= time.Saturday; day++ {
		names = append(names, day.String())
	}
	return append(names, time.Sunday.String())
}

// setNumbers sets what is a day or a number. What is not named stays.
func setNumbers(ctx context.Context, env *Env, req Request) error {
	s, err := env.Group.Settings(ctx)
	if err != nil {
		return err
	}
	weekday := s.ReminderWeekday
	if day := req.value("day"); day != "" {
		weekday = time.Weekday((slices.Index(weekdays(), day) + 1) % 7)
	}
	hour, hourGiven := req.whole("hour", s.ReminderHour)
	if hourGiven || weekday != s.ReminderWeekday {
		if err := env.Group.SetReminderTime(ctx, weekday, hour); err != nil {
			return err
		}
	}
	items, itemsGiven := req.whole("boxitems", s.BoxItems)
	days, daysGiven := req.whole("boxdays", s.BoxDays)
	if itemsGiven || daysGiven {
		if err := env.Group.SetBoxLimits(ctx, items, days); err != nil {
			return err
		}
	}
	if keep, given := req.whole("keepdays", s.KeepDays); given {
		return env.Group.SetKeepDays(ctx, keep)
	}
	return nil
}

// whole is a whole number as read, or the one that stands where none was given.
func (r Request) whole(name string, stands int) (value int, given bool) {
	if v, given := r.number(name); given {
		return int(v), true
	}
	return stands, false
}

func settingsCard(s knowledge.Settings) Card {
	c := Card{Title: s.Name + ", settings", Role: s.TrainerRole, Channel: s.ReminderChannel}
	c.fact("Ceiling", "%s", exactSeconds(float64(s.Ceiling)))
	c.fact("Share of tests a hold covers", "%s", shareWords(s.Target))
	c.fact("Time zone", "%s", s.Zone)
	c.fact("Trainers", "%s", orWords(s.TrainerRole, "whoever may manage the server", "role %s, and whoever may manage the server"))
	c.fact("Emergency protocol", "%s", orWords(s.ProtocolLink, "no link set; the option protocol sets it", "%s"))
	c.fact("Weekly prompt", "%s", orWords(s.ReminderChannel, "none until a channel is set, by the option reminders", "in channel %s"))
	c.fact("Its day and hour", "%s, %02d:00", s.ReminderWeekday, s.ReminderHour)
	c.fact("Bench session proposed", "at %s put aside, or before the oldest is %s old", count(s.BoxItems, "syringe"), count(s.BoxDays, "day"))
	c.fact("Kept after leaving the server", "%s", count(s.KeepDays, "day"))
	return c
}

// orWords is the words for an id that is set, or for one that is not.
func orWords(id, without, with string) string {
	if id == "" {
		return without
	}
	return fmt.Sprintf(with, id)
}
