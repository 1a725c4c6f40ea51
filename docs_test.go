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
	"sync"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"holdbench/config"
	"holdbench/internal/commands"
)

var update = flag.Bool("update", false, "rewrite what the pages show, then fail once so that the difference is read")

// TestDocs holds what the pages show against the program: the output of every
// command after a "$ ", and every part between marks.
func TestDocs(t *testing.T) {
	program := build(t)
	shown := map[string]bool{}
	for _, path := range pages(t) {
		want := read(t, path)
		got := remade(t, path, rerun(t, program, want, shown), shown)
		if got == want {
			continue
		}
		if !*update {
			t.Errorf("%s is not what the program says (-page +program):\n%s",
				path, cmp.Diff(strings.Split(want, "\n"), strings.Split(got, "\n")))
			continue
		}
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		t.Errorf("%s rewritten: read the difference, then run again", path)
	}
	for _, what := range []string{"$", "commands", "settings", "seen"} {
		if !shown[what] {
			t.Errorf("no page shows %q", what)
		}
	}
}

// pages are the pages that people read.
func pages(t *testing.T) []string {
	t.Helper()
	found, err := filepath.Glob("docs/*.md")
	if err != nil {
		t.Fatal(err)
	}
	return append(found, "README.md", "DEVELOPERS.md")
}

func read(t *testing.T, path string) string {
	t.Helper()
	page, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(page)
}

// rerun writes the page anew with the real output under every command.
func rerun(t *testing.T, program, page string, shown map[string]bool) string {
	t.Helper()
	folder := workFolder(t)
	var b strings.Builder
	inside, answered := false, false
	for _, line := range strings.SplitAfter(page, "\n") {
		text := strings.TrimSuffix(line, "\n")
		switch {
		case text == "```console":
			inside, answered = true, false
		case text == "```":
			inside = false
		}
		command, typed := strings.CutPrefix(text, "$ ")
		if inside && typed {
			b.WriteString(line + shell(t, program, folder, command))
			answered, shown["$"] = true, true
		} else if !inside || !answered {
			b.WriteString(line)
		}
	}
	return b.String()
}

// workshop is where the program is built; it goes when the tests have run.
var workshop string

func TestMain(m *testing.M) {
	var err error
	if workshop, err = os.MkdirTemp("", "holdbench-docs-"); err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
	code := m.Run()
	os.RemoveAll(workshop)
	os.Exit(code)
}

// built is the program, compiled once in place of every "go run ./cmd/bot".
var built = sync.OnceValues(func() (program string, err error) {
	program = filepath.Join(workshop, "bot")
	compile := exec.Command("go", "build", "-buildvcs=false", "-ldflags=-s -w", "-o", program, "./cmd/bot")
	if out, err := compile.CombinedOutput(); err != nil {
		return "", fmt.Errorf("%w\n%s", err, out)
	}
	return program, nil
})

func build(t *testing.T) string {
	t.Helper()
	program, err := built()
	if err != nil {
		t.Fatal(err)
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

// mark begins a part of a page that is made from the program, or ends it.
var mark = regexp.MustCompile(`(?m)^<!-- (.+) -->$`)

// remade puts every part between marks in anew. A mark that nothing is made for
// is an error: what follows it would be kept by hand.
func remade(t *testing.T, path, page string, shown map[string]bool) string {
	t.Helper()
	caveats := map[string]bool{}
	for _, found := range mark.FindAllStringSubmatch(page, -1) {
		part, text := found[1], ""
		words := strings.Fields(part)
		switch words[0] {
		case "end":
			continue
		case "commands":
			text = commandTable()
		case "settings":
			text = settingTable()
		case "seen":
			text = seen(t, words[1], words[2:], caveats)
		default:
			t.Fatalf("%s: nothing is made for the mark %q", path, part)
		}
		shown[words[0]] = true
		page = between(t, path, page, part, text)
	}
	return page
}

// between puts text between the two marks of a part of the page.
func between(t *testing.T, path, page, part, text string) string {
	t.Helper()
	begin, end := "<!-- "+part+" -->\n", "<!-- end of "+part+" -->"
	before, rest, _ := strings.Cut(page, begin)
	_, after, ended := strings.Cut(rest, end)
	if !ended {
		t.Fatalf("%s: the part %q has no end", path, part)
	}
	return before + begin + text + end + after
}

// seen is what members see in Discord, as the tests of that surface keep it: the
// steps with these numbers of one scene.
func seen(t *testing.T, scene string, numbers []string, caveats map[string]bool) string {
	t.Helper()
	text := read(t, filepath.Join("internal", "discord", "testdata", "seen", scene+".txt"))
	steps := strings.Split(strings.TrimSpace(text), "\n\n")
	var b strings.Builder
	for _, number := range numbers {
		n, err := strconv.Atoi(number)
		if err != nil || n < 1 || n > len(steps) {
			t.Fatalf("%s has no step %s", scene, number)
		}
		b.WriteString("\n" + readable(steps[n-1], caveats))
	}
	return "```text" + b.String() + "```\n"
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
	b.WriteString("| command | what for | for example | its answers |\n|---|---|---|---|\n")
	for _, cmd := range commands.All() {
		fmt.Fprintf(&b, "| `/%s` | %s | `%s` | [scenes](../internal/commands/testdata/transcripts/%s.txt) |\n",
			cmd.Name, cmd.Summary, cmd.Examples[0], strings.ReplaceAll(cmd.Name, " ", "-"))
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
