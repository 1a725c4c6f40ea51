package commands

import (
	"fmt"
	"testing"
	"time"

	"holdbench/internal/commands/question"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// testedPulls are on both sides of each limit in trade/pull.go.
var testedPulls = []float64{
	trade.SmallestPullML / 2, trade.SmallestPullML, trade.LargestTestedPullML, trade.LargestTestedPullML * 1.01, 3,
	trade.LargestPullML, trade.LargestPullML * 1.01, 10,
}

// optionTakes reports whether a command's option takes a value.
func optionTakes(t *testing.T, cmd *Command, name string, value float64) bool {
	t.Helper()
	o := cmd.option(name)
	if o == nil {
		t.Fatalf("/%s has no option %s", cmd.Name, name)
	}
	_, _, err := o.read(time.Time{}, trimNumber(value))
	return err == nil
}

func TestAPullThatCanBeTypedForATestCanBeStored(t *testing.T) {
	for _, cmd := range []*Command{logCommand, batchCommand} {
		for _, ml := range testedPulls {
			test := knowledge.BenchTest{TestedOn: "2026-05-14", Liquid: "whole milk", LiquidC: 20, PullML: ml,
				WatchedS: 30,
				Outcome:  knowledge.None, Timing: "stopwatch"}
			if typed, err := optionTakes(t, cmd, "pull", ml), test.Validate(); typed != (err == nil) {
				t.Errorf("/%s pull:%g is taken: %v; stored: %v", cmd.Name, ml, typed, err)
			}
		}
	}
}

func TestAPullIsTakenAsAnOptionAndInWordsAlike(t *testing.T) {
	gel := trade.Product{ID: 1, Name: "Orrick Mid"}
	index := question.NewIndex([]trade.Product{gel}, nil, nil)
	for _, ml := range testedPulls {
		r := index.Read(fmt.Sprintf("orrick mid 27G 13 mm needle, pull %g mL", ml))
		_, err := subject{pullML: ml}.pull()
		if typed := optionTakes(t, holdCommand, "pull", ml); typed != (r.Outcome == question.One) ||
			typed != (err == nil) {
			t.Errorf("pull %g mL is taken as an option: %v; in words: %s %s; asked: %v", ml, typed, r.Outcome,
				r.Problem, err)
		}
	}
}

func TestTheLongestWatchCanBeTypedAndStoredAndNoMore(t *testing.T) {
	for _, s := range []float64{trade.LongestWatchS, trade.LongestWatchS + 1} {
		test := knowledge.BenchTest{TestedOn: "2026-05-14", Liquid: "whole milk", LiquidC: 20, PullML: 0.1, WatchedS: s,
			Outcome: knowledge.None, Timing: "stopwatch"}
		for _, cmd := range []*Command{logCommand, batchCommand} {
			if typed, err := optionTakes(t, cmd, "watched", s), test.Validate(); typed != (err == nil) ||
				typed != (s <= trade.LongestWatchS) {
				t.Errorf("/%s watched:%g is taken: %v; stored: %v", cmd.Name, s, typed, err)
			}
		}
	}
}
