package commands

import (
	"bufio"
	"context"
	"encoding/json"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// typedTest is a line as people type it, with what a practitioner would have stored:
// store; ask, asks, choose, refuse: nothing before an answer; ask_or: either is right,
// but what is stored must be this.
type typedTest struct {
	Text, Expect, Product, Instrument, Syringe, Liquid, Timing, Day, Note, Link, Lot, Expires string

	Seconds  float64
	NoneIn   float64 `json:"none_in"`
	WatchedS float64 `json:"watched_s"`
	PullML   float64 `json:"pull_ml"`
	LiquidC  float64 `json:"liquid_c"`
	FPS      float64 `json:"fps"`
}

// heldBack is the demo with every gel's estimate held back: answers go by those before, and a gel that has none before
// fails after a while.
func heldBack(t *testing.T, now func() time.Time) (*Env, func()) {
	t.Helper()
	over := make(chan struct{})
	env, end := openDemo(t, now, knowledge.WithPatience(0), knowledge.WithTurn(func() {
		select {
		case <-over:
		case <-time.After(10 * time.Second):
		}
		panic("no estimate is made here")
	}))
	return env, func() { close(over); end() }
}

// TestLogLinesAreStoredAsTypedOrAskedAbout sends lines through Answer with a store
// behind it: what is in the store afterwards is what was typed. What the group thinks
// of it then is worked out with -long only.
func TestLogLinesAreStoredAsTypedOrAskedAbout(t *testing.T) {
	t.Parallel()
	open := heldBack
	if *long {
		open = func(t *testing.T, now func() time.Time) (*Env, func()) { return openDemo(t, now) }
	}
	saturday := func() time.Time { return time.Date(2026, 11, 28, 12, 0, 0, 0, time.UTC) }
	every := 3 // one in so many lines
	switch {
	case *long:
		every = 1
	case testing.Short():
		every = 20
	}
	lines, wrong, otherwise := 0, 0, 0
	for _, name := range []string{"logline/testdata/lines.jsonl", "logline/testdata/strangers.jsonl",
		"logline/testdata/rounds.jsonl",
		"logline/testdata/tongues.jsonl", "logline/testdata/mixed.jsonl", "logline/testdata/busy.jsonl", "logline/testdata/later.jsonl",
		"logline/testdata/company.jsonl", "testdata/loglines.jsonl"} {
		file, err := os.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		env, end := open(t, saturday)
		listed := 0
		for scan := bufio.NewScanner(file); scan.Scan(); lines++ {
			if lines%every > 0 {
				continue
			}
			var want typedTest
			if err := json.Unmarshal(scan.Bytes(), &want); err != nil {
				t.Fatal(err)
			}
			// Each line has a member of its own: nobody's test is a twin of another's.
			asker := Asker{Ref: "typist " + strconv.Itoa(lines), Name: "typist", Role: knowledge.MemberRole,
				Belongs: true}
			req := Typed(want.Text, asker)
			if req.Command != logName && want.Expect != "asks" {
				req = Request{Command: logName, Text: want.Text, Asker: asker}
			}
			// A needle that a line has put on the list is not there for the next; and what a card tells takes longer,
			// the longer the log.
			if n := len(must(env.Group.Vocabulary(t.Context()))(t).Instruments); n != listed || lines%40 == 0 {
				if listed > 0 {
					end()
					env, end = open(t, saturday)
				}
				listed = len(must(env.Group.Vocabulary(t.Context()))(t).Instruments)
			}
			card := Answer(context.Background(), env, req)
			stored := storedBy(t, env, asker.Ref)
			switch faults := want.faults(stored); {
			case card.Failed:
				t.Errorf("%q failed:\n%s", want.Text, card.Text())
			case len(stored) > 0 && (want.Expect != "store" && want.Expect != "ask_or" || len(faults) > 0):
				wrong++
				t.Errorf("STORED WRONG %q: %v", want.Text, faults)
			case len(stored) == 0 && want.Expect == "store":
				otherwise++
				t.Errorf("%q is not stored: %s", want.Text, card.Title)
			}
		}
		end()
		if err := file.Close(); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%d lines, %d stored wrong, %d asked about for nothing", lines, wrong, otherwise)
	if lines < 200 {
		t.Errorf("only %d lines", lines)
	}
}

// storedBy are the tests of a member.
func storedBy(t *testing.T, env *Env, ref string) []knowledge.BenchTest {
	t.Helper()
	m, err := env.Group.Member(t.Context(), ref)
	if isNotFound(err) {
		return nil
	}
	if err != nil {
		t.Fatal(err)
	}
	tests, err := env.Group.Tests(t.Context(), knowledge.TestFilter{TesterID: m.ID})
	if err != nil {
		t.Fatal(err)
	}
	return tests
}

// faults are what is in the store otherwise than it was typed. What was not typed is
// there as usual.
func (want typedTest) faults(stored []knowledge.BenchTest) (faults []string) {
	if len(stored) != 1 {
		return []string{strconv.Itoa(len(stored)) + " tests"}
	}
	got := stored[0]
	number := func(name string, got, said, usual float64) {
		if said == 0 {
			said = usual
		}
		if got != said {
			faults = append(faults, name+" "+trimNumber(got)+", want "+trimNumber(said))
		}
	}
	text := func(name, got, said, usual string) {
		if said == "" {
			said = usual
		}
		if got != said {
			faults = append(faults, name+" "+got+", want "+said)
		}
	}
	number("seconds", got.Seconds, want.Seconds, 0)
	if want.NoneIn > 0 || want.WatchedS > 0 {
		number("watched", got.WatchedS, max(want.NoneIn, want.WatchedS), 0)
	}
	number("pull", got.PullML, want.PullML, usualPullML)
	number("temperature", got.LiquidC, want.LiquidC, usualLiquidC)
	text("liquid", got.Liquid, want.Liquid, usualLiquid)
	timing := usualTiming
	if want.FPS > 0 {
		timing = "video " + trimNumber(want.FPS) + " fps"
	} else if got.Film.Marks != "" {
		timing = "video 30 fps"
	}
	text("timing", got.Timing, want.Timing, timing)
	text("note", got.Note, want.Note, "")
	text("lot", got.Lot.String(), trade.Lot{Number: strings.ToUpper(want.Lot), Expires: want.Expires}.String(), "")
	text("day", got.TestedOn, want.Day, "2026-11-28")
	text("link", got.Film.Link, want.Link, "")
	text("product", got.Combination.Product.Name, want.Product, got.Combination.Product.Name)
	text("instrument", got.Combination.Instrument.Name(), want.Instrument, got.Combination.Instrument.Name())
	return faults
}
