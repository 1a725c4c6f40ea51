package commands

import (
	"context"
	"slices"
	"strconv"
	"strings"

	"holdbench/internal/knowledge"
)

// likely offers values that are the same for everybody.
func likely(values ...string) Suggester {
	return func(_ context.Context, _ *Env, _ Request, typed string) ([]string, error) {
		return first(holding(values, typed)), nil
	}
}

// holding are those of the values that contain what was typed, each once.
func holding(values []string, typed string) (held []string) {
	for _, v := range values {
		if contains([]string{v}, typed) && !slices.Contains(held, v) {
			held = append(held, v)
		}
	}
	return held
}

// ofLast offers what the asker's own latest tests had, the latest first, and then what is usual.
func ofLast(what func(knowledge.BenchTest) string, usual ...string) Suggester {
	return func(ctx context.Context, env *Env, req Request, typed string) ([]string, error) {
		tests, err := testsOfLate(ctx, env, req.Asker, "", false)
		if err != nil {
			return nil, err
		}
		var values []string
		for _, t := range tests {
			values = append(values, what(t))
		}
		return first(holding(append(values, usual...), typed)), nil
	}
}

// testsOfLate are the asker's latest tests in a state, "" for any, the latest first. With anybody set, a trainer gets
// the group's.
func testsOfLate(ctx context.Context, env *Env, asker Asker, state knowledge.State,
	anybody bool) ([]knowledge.BenchTest, error) {
	filter := knowledge.TestFilter{State: state, Limit: mostSuggestions}
	if !anybody || !asker.Role.Covers(knowledge.TrainerRole) {
		m, err := env.known(ctx, asker.Ref)
		if err != nil || m.ID == 0 {
			return nil, err
		}
		filter.TesterID = m.ID
	}
	tests, err := env.Group.Tests(ctx, filter)
	slices.Reverse(tests)
	return tests, err
}

// suggestTests offers the numbers of tests in a state, with what they are.
func suggestTests(state knowledge.State) Suggester {
	return func(ctx context.Context, env *Env, req Request, typed string) ([]string, error) {
		tests, err := testsOfLate(ctx, env, req.Asker, state, true)
		return first(holding(numberedTests(tests), typed)), err
	}
}

// suggestFlagged offers the flagged tests that no trainer has looked at.
func suggestFlagged(ctx context.Context, env *Env, _ Request, typed string) ([]string, error) {
	flagged, err := env.Group.Flagged(ctx)
	var tests []knowledge.BenchTest
	for _, f := range flagged {
		if f.Checked == nil {
			tests = append(tests, f.Test)
		}
	}
	return first(holding(numberedTests(tests), typed)), err
}

func numberedTests(tests []knowledge.BenchTest) (names []string) {
	for _, t := range tests {
		names = append(names, strings.Join([]string{strconv.FormatInt(t.ID, 10), stockWords(t.Combination),
			resultWords(t), t.TestedOn}, " · "))
	}
	return names
}

// suggestLabels offers the labels in the asker's bench box.
func suggestLabels(ctx context.Context, env *Env, req Request, typed string) ([]string, error) {
	m, err := env.known(ctx, req.Asker.Ref)
	if err != nil || m.ID == 0 {
		return nil, err
	}
	items, err := env.Group.Box(ctx, m.ID)
	var names []string
	for _, item := range items {
		names = append(names, item.Label()+" · "+stockWords(item.Combination))
	}
	return first(holding(names, typed)), err
}

// What is usual on the bench (practice, no source) is offered to those who have not tested yet.
var (
	suggestLiquid = ofLast(func(t knowledge.BenchTest) string { return t.Liquid }, usualLiquid, "water",
		"glycerol-water 40%")
	suggestTemperature = ofLast(func(t knowledge.BenchTest) string { return trimNumber(t.LiquidC) }, "20", "21", "22",
		"23", "37")
	suggestPull = ofLast(func(t knowledge.BenchTest) string { return trimNumber(t.PullML) }, "0.1", "0.05", "0.2",
		"0.3")
	suggestWatched = ofLast(func(t knowledge.BenchTest) string { return trimNumber(t.WatchedS) }, "30", "15", "20",
		"60")
	suggestTiming = ofLast(func(t knowledge.BenchTest) string { return t.Timing },
		"video 30 fps", "video 60 fps", "video 120 fps", "video 240 fps", "stopwatch")
	suggestPastDay   = likely("today", "yesterday", "2 days ago", "3 days ago", "a week ago")
	suggestComingDay = likely("tomorrow", "in 3 days", "next week", "in 2 weeks", "in 3 weeks", "in 4 weeks")
)

// suggestZone offers the zones that most people live in; the option takes any other as well.
var suggestZone = likely(
	"Europe/London", "Europe/Dublin", "Europe/Lisbon", "Europe/Madrid", "Europe/Paris", "Europe/Brussels",
	"Europe/Amsterdam", "Europe/Berlin", "Europe/Zurich", "Europe/Vienna", "Europe/Rome", "Europe/Copenhagen",
	"Europe/Oslo", "Europe/Stockholm", "Europe/Helsinki", "Europe/Warsaw", "Europe/Prague", "Europe/Budapest",
	"Europe/Athens", "Europe/Bucharest", "Europe/Istanbul", "Europe/Kyiv", "Asia/Dubai", "Asia/Karachi",
	"Asia/Kolkata", "Asia/Bangkok", "Asia/Singapore", "Asia/Hong_Kong", "Asia/Shanghai", "Asia/Seoul", "Asia/Tokyo",
	"Australia/Perth", "Australia/Adelaide", "Australia/Brisbane", "Australia/Sydney", "Pacific/Auckland",
	"Africa/Cairo", "Africa/Lagos", "Africa/Johannesburg", "America/Sao_Paulo", "America/Buenos_Aires",
	"America/Bogota", "America/Mexico_City", "America/New_York", "America/Toronto", "America/Chicago",
	"America/Denver", "America/Phoenix", "America/Los_Angeles", "America/Vancouver", "America/Halifax", "UTC")
