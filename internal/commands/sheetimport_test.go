package commands

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"holdbench/internal/knowledge"
)

const sheetFolder = "testsheet/testdata/"

// sheetCase is one line of the list of sheets.
type sheetCase struct {
	file, want string
	answers    []string
}

func sheetCases(t *testing.T) (cases []sheetCase) {
	t.Helper()
	list, err := os.ReadFile(sheetFolder + "sheets.txt")
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(list)) {
		parts := strings.Split(line, "|")
		if strings.HasPrefix(line, "#") || len(parts) != 3 {
			continue
		}
		c := sheetCase{file: strings.TrimSpace(parts[0]), want: strings.TrimSpace(parts[2])}
		if said := strings.TrimSpace(parts[1]); said != "" {
			c.answers = strings.Split(said, "; ")
		}
		cases = append(cases, c)
	}
	files, err := filepath.Glob(sheetFolder + "sheets/*")
	if err != nil || len(files) != len(cases) {
		t.Fatalf("%d sheets, %d in the list, %v", len(files), len(cases), err)
	}
	return cases
}

func TestTwentyMessySheetsComeIn(t *testing.T) {
	for _, c := range few(sheetCases(t), 4) {
		t.Run(c.file, func(t *testing.T) {
			env := demoEnv(t)
			data, err := os.ReadFile(sheetFolder + "sheets/" + c.file)
			if err != nil {
				t.Fatal(err)
			}
			in, err := OpenSheet(t.Context(), env, askingTrainer, bytes.NewReader(data), int64(len(data)),
				knowledge.FileLimits())
			if err != nil {
				t.Fatal(err)
			}
			for _, say := range c.answers {
				open := in.Questions()
				if len(open) == 0 {
					t.Fatalf("nothing is open before %q", say)
				}
				if ok, err := in.Answer(t.Context(), open[0].Key, say); err != nil || !ok {
					t.Fatalf("%q does not answer %q, %v", say, open[0].Text, err)
				}
			}
			if open := in.Questions(); len(open) > 0 {
				t.Fatalf("still open: %+v", open)
			}
			tried, err := in.Take(t.Context(), knowledge.Importing{SkipBad: true, Dry: true})
			if err != nil {
				t.Fatal(err)
			}
			done, err := in.Take(t.Context(), knowledge.Importing{SkipBad: true})
			if err != nil {
				t.Fatal(err)
			}
			if got := fmt.Sprintf("%d added, %d bad, %d out", done.Added, done.Bad, done.Out); got != c.want ||
				tried.Added != done.Added {
				t.Errorf("%s, and %d when tried; faults %+v", got, tried.Added, done.Faults)
			}
			again, err := in.Take(t.Context(), knowledge.Importing{SkipBad: true})
			if err != nil || again.Added != 0 || again.Already != done.Added {
				t.Errorf("again: %+v, %v", again, err)
			}
		})
	}
}
