package holdbench

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

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
	got = seen(t, got)
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

// seenPart marks what members see in Discord: the file of it, and which of its
// steps.
var seenPart = regexp.MustCompile(`<!-- (seen (\w+)((?: \d+)+)) -->`)

// seen puts in what members see, as the tests of the Discord surface have it.
func seen(t *testing.T, page string) string {
	t.Helper()
	caveats := map[string]bool{}
	parts := seenPart.FindAllStringSubmatch(page, -1)
	if len(parts) == 0 {
		t.Fatal("README.md shows nothing of what members see")
	}
	for _, part := range parts {
		text, err := os.ReadFile(filepath.Join("internal", "discord", "testdata", "seen", part[2]+".txt"))
		if err != nil {
			t.Fatal(err)
		}
		steps := strings.Split(strings.TrimSpace(string(text)), "\n\n")
		var b strings.Builder
		for _, number := range strings.Fields(part[3]) {
			n, err := strconv.Atoi(number)
			if err != nil || n < 1 || n > len(steps) {
				t.Fatalf("%s has no step %s", part[2], number)
			}
			b.WriteString("\n" + readable(steps[n-1], caveats))
		}
		page = between(t, page, part[1], "```text"+b.String()+"```\n")
	}
	return page
}

// pageWidth is how long a line of what members see may be on the page; a phone
// breaks it, too.
const pageWidth = 118

// readable breaks long lines, and says of the small print that the page has shown
// already only that it is there.
func readable(step string, caveats map[string]bool) string {
	var b strings.Builder
	folded := false
	for _, line := range strings.Split(step, "\n") {
		if strings.HasPrefix(line, "┃ – ") {
			if caveats[line] {
				if !folded {
					b.WriteString("┃ – (of the small print above, what bears on this)\n")
				}
				folded = true
				continue
			}
			caveats[line] = true
		}
		lead := ""
		if strings.HasPrefix(line, "┃") || strings.HasPrefix(line, "│") {
			lead = string([]rune(line)[:1]) + "   "
		}
		used := 0
		for i, word := range strings.Split(line, " ") {
			n := utf8.RuneCountInString(word)
			switch {
			case i == 0:
			case used+1+n > pageWidth:
				b.WriteString("\n" + lead)
				used = utf8.RuneCountInString(lead)
			default:
				b.WriteString(" ")
				used++
			}
			b.WriteString(word)
			used += n
		}
		b.WriteString("\n")
	}
	return b.String()
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
