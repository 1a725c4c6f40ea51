package patientdata

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// list reads a list of notes, one a line; lines with # in front are remarks.
func list(t *testing.T, name string) (notes []string) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(text)) {
		if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "#") {
			notes = append(notes, line)
		}
	}
	if len(notes) < 200 {
		t.Fatalf("%s has %d notes, want at least 200", name, len(notes))
	}
	return notes
}

// The figures of docs/privacy.md are those counted here: clear, doubtful, refused.
func TestListsOfNotes(t *testing.T) {
	for name, want := range map[string][3]int{
		"patient.txt": {2, 30, 266},
		"bench.txt":   {259, 0, 0},
	} {
		var counts [3]int
		for _, note := range list(t, name) {
			found := Look(note)
			counts[found.Verdict]++
			if (found.Verdict == Clear) != (name == "bench.txt") {
				t.Logf("%s: %q: %+v", name, note, found)
			}
		}
		if counts != want {
			t.Errorf("%s: clear, doubtful, refused %v, want %v", name, counts, want)
		}
	}
}

func TestKinds(t *testing.T) {
	for note, want := range map[string]Finding{
		"née le 04/07/1961":                 {Refused, birth},
		"jane dot doe at example dot org":   {Refused, email},
		"journalnr 20418":                   {Refused, record},
		"tel 0161 496 0123":                 {Refused, phone},
		"JK, 54 Jahre":                      {Refused, initial},
		"my patient bruised":                {Doubtful, about},
		"old pump, 03/1998":                 {Doubtful, birth},
		"bro\u200bken at 07700\u200b900123": {Refused, number},
		"be patient: 30 s":                  {},
		"Jane Doe":                          {}, // a bare name cannot be told from others
	} {
		if got := Look(note); got != want {
			t.Errorf("%q: %+v, want %+v", note, got, want)
		}
	}
}
