package discord

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"holdbench/internal/discord/discordtest"
)

// sheetBeside is one of the messy sheets as somebody attaches it.
func sheetBeside(t *testing.T, name string) discordtest.Option {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "commands", "testsheet", "testdata", "sheets", name))
	if err != nil {
		t.Fatal(err)
	}
	return discordtest.Opt("file", discordtest.File{Name: name, Data: data})
}

// Sheets are attached, what is unclear is picked, and the tests are there after a press.
func TestSpreadsheetsComeInByAttachment(t *testing.T) {
	s := play(t, discordtest.Options{})
	added := 0
	for _, c := range []struct {
		file  string
		picks []string
		store string
		tests int
	}{
		{"01-semicolons.csv", nil, "store 2", 2},
		{"02-tabs-utf16.txt", nil, "store 2", 2},
		{"03-latin1.csv", nil, "store 1", 1},
		{"06-day-month.csv", []string{"day first"}, "store 2", 2},
		{"11-unknown-gel.csv", []string{"add, class soft HA", "it is Orrick Mid"}, "store 3", 3},
		{"12-unknown-people.csv", []string{"add", "it is osier", "leave out"}, "store 2", 2},
		{"16-bad-rows.csv", nil, "store the good rows", 1},
		{"19-workbook.xlsx", nil, "store 2", 2},
	} {
		m := s.srv.Command(s.tess, s.guild, "trainer import", sheetBeside(t, c.file)).Message()
		for _, pick := range c.picks {
			if _, button := m.Button(pick); button {
				m = s.srv.Press(s.tess, m, pick).Message()
			} else {
				m = s.srv.Select(s.tess, m, pick).Message()
			}
		}
		wants(t, m.Text(), "Nothing is stored yet.")
		wants(t, s.srv.Press(s.tess, m, c.store).Message().Text(), "The spreadsheet is in the log")
		if added += c.tests; s.tests(t) != 144+added {
			t.Errorf("%s: %d tests, want %d", c.file, s.tests(t), 144+added)
		}
	}
}

// Who is no trainer is not offered the command, and one that is forged fetches nothing.
func TestAMemberImportsNothing(t *testing.T) {
	s := play(t, discordtest.Options{})
	if s.srv.Offered(s.ada, s.guild, "trainer import") {
		t.Error("offered to a member")
	}
	m := s.srv.Command(s.ada, s.guild, "trainer import", sheetBeside(t, "01-semicolons.csv"),
		discordtest.Anyway()).Message()
	if !strings.Contains(m.Text(), "not open to you") || s.tests(t) != 144 {
		t.Errorf("%d tests\n%s", s.tests(t), m.Text())
	}
}
