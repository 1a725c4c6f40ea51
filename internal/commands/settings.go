package commands

import (
	"context"
	"fmt"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
)

const settingsName = "settings"

func settingsCommand() *Command {
	return &Command{
		Name:    settingsName,
		Summary: "What the group has set for itself: ceiling, time zone, trainers, reminders (trainer)",
		Help:    "With nothing it shows what is set; with an option it sets that. The ceiling is the longest hold the group calls usable.",
		Options: []Option{
			{Name: "ceiling", Help: "the longest usable hold", Kind: Number, Unit: "s", Min: 1, Max: float64(knowledge.MaxCeiling)},
			{Name: "zone", Help: "the time zone of dates, as in Europe/London"},
			{Name: "trainers", Help: "the role whose holders are trainers, beside those who manage the server", Kind: PlatformRole},
			{Name: "reminders", Help: "the channel for reminders; none come before it is set", Kind: PlatformChannel},
			{Name: "off", Help: "what to switch off again", Choices: []string{"trainers", "reminders"}},
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
	settings, err := env.Group.Settings(ctx)
	if err != nil {
		return Card{}, err
	}
	return settingsCard(settings), nil
}

func settingsCard(s knowledge.Settings) Card {
	c := Card{Title: s.Name + ", settings"}
	c.fact("Ceiling", "%s", exactSeconds(float64(s.Ceiling)))
	c.fact("Share of tests a hold covers", "%s", shareWords(s.Target))
	c.fact("Time zone", "%s", s.Zone)
	c.fact("Trainers", "%s", orWords(s.TrainerRole, "whoever may manage the server", "role %s, and whoever may manage the server"))
	c.fact("Reminders", "%s", orWords(s.ReminderChannel, "off", "in channel %s"))
	return c
}

// orWords is the words for an id that is set, or for one that is not.
func orWords(id, without, with string) string {
	if id == "" {
		return without
	}
	return fmt.Sprintf(with, id)
}
