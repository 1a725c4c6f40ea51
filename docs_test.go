package holdbench

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"holdbench/config"
	"holdbench/internal/commands"
)

var update = flag.Bool("update", false, "rewrite what README.md shows, then fail once so that the difference is read")

// TestReadme holds everything that README.md shows against the program: the
// output of every command after a "$ ", the list of commands, the settings.
func TestReadme(t *testing.T) {
	want, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	got := rerun(t, string(want))
	got = between(t, got, "commands", commandTable())
	got = between(t, got, "settings", settingTable())
	if got == string(want) {
		return
	}
	if !*update {
		t.Fatalf("README.md is not what the program says (-README +program):\n%s", cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")))
	}
	if err := os.WriteFile("README.md", []byte(got), 0o644); err != nil {
		t.Fatal(err)
	}
	t.Error("rewritten: read the difference, then run again")
}

// rerun writes the page anew with the real output under every command.
func rerun(t *testing.T, page string) string {
	t.Helper()
	program, folder := build(t), workFolder(t)
	var b strings.Builder
	inside, shown, commandsRun := false, false, 0
	for _, line := range strings.SplitAfter(page, "\n") {
		text := strings.TrimSuffix(line, "\n")
		switch {
		case text == "```console":
			inside, shown = true, false
		case text == "```":
			inside = false
		}
		command, typed := strings.CutPrefix(text, "$ ")
		if inside && typed {
			b.WriteString(line + shell(t, program, folder, command))
			shown = true
			commandsRun++
		} else if !inside || !shown {
			b.WriteString(line)
		}
	}
	if commandsRun == 0 {
		t.Fatal("no command found in README.md")
	}
	return b.String()
}

// build compiles the program once, in place of every "go run ./cmd/bot".
func build(t *testing.T) string {
	t.Helper()
	program := filepath.Join(t.TempDir(), "bot")
	if out, err := exec.Command("go", "build", "-buildvcs=false", "-o", program, "./cmd/bot").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return program
}

// workFolder is a folder in which the page's commands may leave files, with the
// demo's files where the page says they are.
func workFolder(t *testing.T) string {
	t.Helper()
	folder := t.TempDir()
	here, err := filepath.Abs("config")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(here, filepath.Join(folder, "config")); err != nil {
		t.Fatal(err)
	}
	return folder
}

// shell runs one command of the page and returns its standard output.
func shell(t *testing.T, program, folder, command string) string {
	t.Helper()
	var stdout, stderr bytes.Buffer
	cmd := exec.Command("sh", "-c", strings.ReplaceAll(command, "go run ./cmd/bot", program))
	cmd.Dir, cmd.Stdout, cmd.Stderr = folder, &stdout, &stderr
	for _, setting := range os.Environ() {
		if !strings.HasPrefix(setting, "HOLDBENCH_") {
			cmd.Env = append(cmd.Env, setting)
		}
	}
	if err := cmd.Run(); err != nil {
		t.Errorf("%s: %v\n%s", command, err, &stderr)
	}
	return stdout.String()
}

// between puts text between the two marks of a part of the page.
func between(t *testing.T, page, part, text string) string {
	t.Helper()
	before, rest, found := strings.Cut(page, "<!-- "+part+" -->\n")
	_, after, ended := strings.Cut(rest, "<!-- end of "+part+" -->")
	if !found || !ended {
		t.Fatalf("README.md has no part %s", part)
	}
	return before + "<!-- " + part + " -->\n" + text + "<!-- end of " + part + " -->" + after
}

func commandTable() string {
	var b strings.Builder
	b.WriteString("| command | what for | for example |\n|---|---|---|\n")
	for _, cmd := range commands.All() {
		fmt.Fprintf(&b, "| `/%s` | %s | `%s` |\n", cmd.Name, cmd.Summary, cmd.Examples[0])
	}
	return b.String()
}

func settingTable() string {
	var b strings.Builder
	b.WriteString("| key | environment | unit | default | what it sets |\n|---|---|---|---|---|\n")
	for _, s := range config.Settings() {
		fmt.Fprintf(&b, "| `%s` | `%s` | %s | `%v` | %s |\n", s.Key, s.Environment(), s.Unit, s.Default, s.Help)
	}
	return strings.ReplaceAll(b.String(), "| `` |", "| |")
}
