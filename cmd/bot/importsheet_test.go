package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"holdbench/internal/knowledge"
)

// The sheets that the commands take in come to the same here, with the answers as lines.
func TestMessySheetsComeInFromATerminal(t *testing.T) {
	folder := filepath.Join("..", "..", "internal", "commands", "testsheet", "testdata")
	list, err := os.ReadFile(filepath.Join(folder, "sheets.txt"))
	if err != nil {
		t.Fatal(err)
	}
	environ := ownStore(t)
	for _, kind := range knowledge.ImportKinds()[:3] {
		mustRun(t, environ, "", "import", string(kind), demoFile(string(kind)))
	}
	added := regexp.MustCompile(`(\d+) added`)
	for line := range strings.Lines(string(list)) {
		parts := strings.Split(line, "|")
		if strings.HasPrefix(line, "#") || len(parts) != 3 {
			continue
		}
		file, said := strings.TrimSpace(parts[0]), strings.TrimSpace(parts[1])
		answers := strings.ReplaceAll(said, "; ", "\n")
		if answers != "" {
			answers += "\n"
		}
		left := !strings.Contains(parts[2], " 0 bad")
		got := bot(t, environ, answers+"yes\n", "import", filepath.Join(folder, "sheets", file), "--skip-bad")
		if code := exitCode(got.err); code != exitDone && !left || code != exitLeftOut && left {
			t.Errorf("%s: exit code %d, %v\n%s%s", file, code, got.err, got.stdout, got.stderr)
			continue
		}
		want := added.FindStringSubmatch(parts[2])[1]
		if found := added.FindStringSubmatch(got.stdout); found == nil || found[1] != want {
			t.Errorf("%s: want %s added\n%s%s", file, want, got.stdout, got.stderr)
		}
	}
	tests := mustRun(t, environ, "", "export", "tests")
	wants(t, tests, "2026-04-03,osier,Orrick Mid,27G 13 mm needle,supplied,whole "+
		"milk,20,0.1,30,flashback,7.125,stopwatch",
		"Gull", "Brackley Sheer", "glycerol-water 40%,37,0.2,", "'=HYPERLINK(", "caf\u00e9 lamp")
	if strings.Contains(tests, "visitor") {
		t.Error("somebody who was left out is there")
	}
	if n := strings.Count(tests, "\n"); n != 1+total(t, string(list), added) {
		t.Errorf("%d lines are stored", n)
	}
}

// total is how many tests the whole list adds.
func total(t *testing.T, list string, added *regexp.Regexp) (n int) {
	t.Helper()
	for _, m := range added.FindAllStringSubmatch(list, -1) {
		one, err := strconv.Atoi(m[1])
		if err != nil {
			t.Fatal(err)
		}
		n += one
	}
	return n
}

func TestNothingIsStoredWithoutAYes(t *testing.T) {
	environ := ownStore(t)
	for _, kind := range knowledge.ImportKinds()[:3] {
		mustRun(t, environ, "", "import", string(kind), demoFile(string(kind)))
	}
	sheet := filepath.Join("..", "..", "internal", "commands", "testsheet", "testdata", "sheets", "06-day-month.csv")
	if got := bot(t, environ, "", "import", sheet); got.err == nil {
		t.Errorf("an open question: %s", got.stdout)
	}
	wants(t, bot(t, environ, "perhaps\nday first\nno\n", "import", sheet).stdout, "does not answer that", "2 to add",
		"Nothing was stored.")
	if tests := mustRun(t, environ, "", "export", "tests"); strings.Count(tests, "\n") != 1 {
		t.Errorf("stored all the same:\n%s", tests)
	}
	wants(t, bot(t, environ, "", "import", demoFile("tests"), "--yes").stdout, "144 rows: 144 added")
}

// A list of gels is told from tests by its headings; nothing of it is there before a yes.
func TestAListComesInFromATerminal(t *testing.T) {
	environ := ownStore(t)
	mustRun(t, environ, "", "import", "products", demoFile("products"))
	list := filepath.Join("..", "..", "internal", "commands", "testsheet", "testdata", "lists", "gels.csv")
	answers := "yes\nit is Pellow Lip\nfine\n"
	wants(t, bot(t, environ, answers+"no\n", "import", list).stdout, "is nearly Wendle Firm. Is it another gel?",
		"6 rows of products: 6 to add, 0 there already, 0 bad", "Nothing was stored.")
	if gels := mustRun(t, environ, "", "export", "products"); strings.Contains(gels, "Wendle") {
		t.Errorf("stored without a yes:\n%s", gels)
	}
	wants(t, bot(t, environ, answers+"yes\n", "import", list).stdout, "6 rows: 4 added, 0 there already, 2 changed")
	wants(t, mustRun(t, environ, "", "export", "products"), "Wendle Firm,firm HA,w firm,2026-11-03", "Wendel Firm,unknown")
}
