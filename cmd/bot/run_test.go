package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"holdbench/config"
)

// outcome is what one call of the program gave.
type outcome struct {
	stdout, stderr string
	err            error
}

// bot calls the program as the shell would, with nothing in the environment but
// what is given.
func bot(t testing.TB, environ []string, stdin string, args ...string) outcome {
	t.Helper()
	var stdout, stderr bytes.Buffer
	err := run(context.Background(), args, environ, strings.NewReader(stdin), &stdout, &stderr)
	return outcome{stdout.String(), stderr.String(), err}
}

// ownStore is an environment that names a store in a folder of the test's own.
func ownStore(t testing.TB) []string {
	t.Helper()
	return []string{"HOLDBENCH_STORE_PATH=" + filepath.Join(t.TempDir(), "bot.db")}
}

// demoFile is one file of the demo community on disk.
func demoFile(kind string) string {
	return filepath.Join("..", "..", "config", "demo", kind+".csv")
}

func wants(t testing.TB, text string, parts ...string) {
	t.Helper()
	for _, part := range parts {
		if !strings.Contains(text, part) {
			t.Errorf("%q is not in\n%s", part, text)
		}
	}
}

func mustRun(t testing.TB, environ []string, stdin string, args ...string) string {
	t.Helper()
	got := bot(t, environ, stdin, args...)
	if got.err != nil {
		t.Fatalf("bot %v: %v\n%s", args, got.err, got.stderr)
	}
	return got.stdout
}

func TestRoomWithNoSettingsIsTheDemo(t *testing.T) {
	got := mustRun(t, nil, "hold time for Orrick Mid on 27G 13 mm\n/holdbench help\n")
	wants(t, got, config.DemoName, "invented", "Orrick Mid, 27G 13 mm needle, supplied syringe\n", "outside a vessel",
		"/hold")
}

func TestDemoIsGoneAfterwards(t *testing.T) {
	folder := t.TempDir()
	t.Setenv("TMPDIR", folder)
	mustRun(t, nil, "/group gels\n")
	left, err := os.ReadDir(folder)
	if err != nil || len(left) > 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
}

func TestOwnStoreHoldsNothingOfTheDemo(t *testing.T) {
	environ := append(ownStore(t), "HOLDBENCH_COMMUNITY_NAME=North Room")
	got := mustRun(t, environ, "/group gels\norrick mid 27g 13mm\n")
	wants(t, got, "North Room. ", "Gels on the group's list: 0")
	if strings.Contains(got, "SHOWS") || strings.Contains(got, "Saltmarsh") || strings.Contains(got, "invented") {
		t.Errorf("demo in a store of one's own:\n%s", got)
	}
}

func TestOwnStoreIsKept(t *testing.T) {
	environ := ownStore(t)
	mustRun(t, environ, "", "import", "products", demoFile("products"))
	mustRun(t, environ, `/log product:"Orrick Mid" instrument:"30G 13 mm needle" seconds:4.2`+"\n")
	wants(t, mustRun(t, environ, "", "ask", "/record tests orrick mid 30g 13mm"), "1 test by 1 member", "4.2 s")
}

func TestFoundingSettingsCountOnceAndLaterOnesAreTold(t *testing.T) {
	environ := ownStore(t)
	mustRun(t, append(environ, "HOLDBENCH_HOLD_CEILING_S=15"), "/group gels\n")
	got := bot(t, append(environ, "HOLDBENCH_HOLD_CEILING_S=12"), "/group gels\n")
	if got.err != nil {
		t.Fatal(got.err)
	}
	wants(t, got.stderr, "hold.ceiling_s is not taken", "15")
}

func TestAskAsJSON(t *testing.T) {
	cases := []struct {
		question string
		want     map[string]any
	}{
		{"orrick mid 27g 13mm", map[string]any{"state": "tested", "product": "Orrick Mid", "kind": "needle",
			"gauge": 27.0, "length_mm": 13.0, "syringe": "supplied"}},
		{"dunmere deep 30g 8mm", map[string]any{"state": "untested", "product": "Dunmere Deep", "kind": "needle",
			"gauge": 30.0, "length_mm": 8.0, "syringe": "supplied", "hold_s": nil}},
		{"orrick 27g 13mm", map[string]any{"state": "choose"}},
		{"the blue one on the thing", map[string]any{"state": "unclear"}},
		{"", map[string]any{"state": "unclear"}},
		{strings.Repeat("orrick ", 150_000), map[string]any{"state": "unclear"}},
	}
	for _, c := range cases {
		t.Run(c.question[:min(len(c.question), 40)], func(t *testing.T) {
			got := answerJSON(t, c.question)
			for key, want := range c.want {
				if value, there := got[key]; !there || value != want {
					t.Errorf("%s is %v, want %v", key, value, want)
				}
			}
			if caveats, _ := got["caveats"].([]any); len(caveats) < 5 {
				t.Errorf("caveats %v", got["caveats"])
			}
		})
	}
}

func answerJSON(t testing.TB, question string) map[string]any {
	t.Helper()
	text := mustRun(t, nil, "", "ask", question, "--json")
	var got map[string]any
	if err := json.Unmarshal([]byte(text), &got); err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	return got
}

// The keys are what other programs hold on to.
func TestJSONKeysAreFixed(t *testing.T) {
	tested := answerJSON(t, "orrick mid 27g 13mm")
	wantKeys(t, "tested", tested, "state product kind gauge length_mm syringe choices tests evidence pull_ml wall "+
		"verdict hold_s no_hold share estimate_s spread nearest warnings caveats")
	wantKeys(t, "tests", tested["tests"], "run shown_by_ceiling none testers longest_s")
	wantKeys(t, "evidence", tested["evidence"], "tests members needed_tests needed_members")
	wantKeys(t, "share", tested["share"], "by_s mean low high")
	wantKeys(t, "estimate_s", tested["estimate_s"], "low median high")
	wantKeys(t, "choose", answerJSON(t, "orrick 27g 13mm"), "state choices caveats")
	if by := answerJSON(t, "is 4 s enough for orrick mid 27g 13mm")["share"].(map[string]any)["by_s"]; by != 4.0 {
		t.Errorf("share by %v, want by the 4 s that were asked about", by)
	}
}

func wantKeys(t *testing.T, what string, got any, keys string) {
	t.Helper()
	object, ok := got.(map[string]any)
	if !ok {
		t.Fatalf("%s is %T", what, got)
	}
	want := strings.Fields(keys)
	for _, key := range want {
		if _, there := object[key]; !there {
			t.Errorf("%s: no key %s", what, key)
		}
	}
	if len(object) != len(want) {
		t.Errorf("%s has %d keys, want %d: %v", what, len(object), len(want), object)
	}
}

func TestCalledWrongly(t *testing.T) {
	cases := map[string][]string{
		"unknown subcommand":     {"frobnicate"},
		"unknown flag":           {"ask", "x", "--loud"},
		"flag of another":        {"export", "tests", "--json"},
		"nothing to ask":         {"ask"},
		"no file":                {"import", "tests"},
		"unknown kind":           {"export", "patients"},
		"two kinds":              {"export", "tests", "stock"},
		"config with a word":     {"config", "now"},
		"figures of a list":      {"ask", "--json", "/group gels"},
		"flag without its value": {"--config"},
	}
	for scene, args := range cases {
		t.Run(scene, func(t *testing.T) {
			got := bot(t, nil, "", args...)
			if exitCode(got.err) != exitUsage {
				t.Errorf("exit code %d, %v", exitCode(got.err), got.err)
			}
		})
	}
}

func TestFailuresExitWithOne(t *testing.T) {
	cases := map[string]outcome{
		"import into the demo": bot(t, nil, "", "import", "tests", demoFile("tests")),
		"no such file":         bot(t, ownStore(t), "", "import", "tests", "none.csv"),
	}
	for scene, got := range cases {
		if exitCode(got.err) != exitFailed {
			t.Errorf("%s: exit code %d, %v", scene, exitCode(got.err), got.err)
		}
	}
	if exitCode(nil) != exitDone || exitCode(errors.New("x")) != exitFailed {
		t.Error("exit codes")
	}
}

func TestConfigHidesTheToken(t *testing.T) {
	got := mustRun(t, []string{"HOLDBENCH_DISCORD_TOKEN=very-secret"}, "", "config")
	wants(t, got, "discord.token", "***", "hold.ceiling_s", "10 s")
	if strings.Contains(got, "very-secret") {
		t.Error("the token is shown")
	}
}

func TestSettingsFileByFlagAndByEnvironment(t *testing.T) {
	path := filepath.Join(t.TempDir(), "bot.yaml")
	if err := os.WriteFile(path, []byte("hold:\n  ceiling_s: 12\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	wants(t, mustRun(t, nil, "", "config", "--config", path), "12 s")
	wants(t, mustRun(t, nil, "", "--config", path, "config"), "12 s")
	wants(t, mustRun(t, []string{"HOLDBENCH_CONFIG=" + path}, "", "config"), "12 s")
}

func TestHelpNamesEverySubcommand(t *testing.T) {
	for _, args := range [][]string{{"help"}, {"-h"}, {"ask", "--help"}} {
		got := mustRun(t, nil, "", args...)
		for _, s := range subcommands() {
			wants(t, got, strings.TrimSpace("bot "+s.name), s.summary)
		}
	}
	wants(t, mustRun(t, nil, "", "version"), "holdbench "+release+" ")
}

func TestAnEmergencyIsAnsweredThoughTheStoreCannotBeOpened(t *testing.T) {
	t.Parallel()
	for scene, environ := range map[string][]string{"a folder": {"HOLDBENCH_STORE_PATH=" + t.TempDir()},
		"the demo": nil, "no such setting": {"HOLDBENCH_STOR_PATH=x"}} {
		const first = "Stop. Follow the local emergency protocol now. Call for help."
		if got := mustRun(t, environ, "", "ask", "lip gone white after orrick mid 30g"); !strings.HasPrefix(got,
			first+"\n") || strings.Contains(got, "hold") {
			t.Errorf("%s:\n%s", scene, got)
		}
		if got := mustRun(t, environ, "", "ask", "--json", "lip gone white after orrick mid 30g"); got != `{"state":"urgent","direction":"`+first+` This tool is no guide to it."}`+"\n" {
			t.Errorf("%s as JSON:\n%s", scene, got)
		}
	}
}
