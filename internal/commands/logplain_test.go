package commands

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// What a line says of a test beside its combination; what could be two things, or
// a length, is no result.
func TestPlainResult(t *testing.T) {
	cases := []struct {
		text string
		said map[string]string
		rest string
	}{
		{"orrick mid 30g 13mm 7.13", map[string]string{"seconds": "7.13"}, "orrick mid 30g 13mm"},
		{"orrick mid 30g 13 mm: 7,5", map[string]string{"seconds": "7,5"}, "orrick mid 30g 13 mm"},
		{"7 s orrick mid 30g 13mm", map[string]string{"seconds": "7"}, "orrick mid 30g 13mm"},
		{"orrick mid 30g 13mm 7.1s 60 fps", map[string]string{"seconds": "7.1", "timing": "video 60 fps"}, "orrick mid 30g 13mm"},
		{"orrick mid 30g 13mm none in 40 s", map[string]string{"seconds": "none", "watched": "40"}, "orrick mid 30g 13mm"},
		{"orrick mid 30g 13mm none, yesterday", map[string]string{"seconds": "none", "date": "yesterday"}, "orrick mid 30g 13mm"},
		{"orrick mid 30g 13mm 7.1 on 2026-05-04", map[string]string{"seconds": "7.1", "date": "2026-05-04"}, "orrick mid 30g 13mm"},
		{"orrick mid 30g 13mm 0:12.40-0:17.13", map[string]string{"seconds": "0:12.40-0:17.13", "timing": "video 30 fps"}, "orrick mid 30g 13mm"},
		{"orrick mid 30g 13", map[string]string{}, "orrick mid 30g 13"},
		{"orrick mid 30g 13 7.13", map[string]string{}, "orrick mid 30g 13 7.13"},
		{"orrick mid 30g 13mm 7 s or 8 s", map[string]string{}, "orrick mid 30g 13mm or"},
		{"orrick mid 30g 13mm", map[string]string{}, "orrick mid 30g 13mm"},
	}
	for _, c := range cases {
		said, rest := plainResult(c.text)
		if diff := cmp.Diff(c.said, said); diff != "" || rest != c.rest {
			t.Errorf("%q leaves %q, want %q (-want +got):\n%s", c.text, rest, c.rest, diff)
		}
	}
}

// A line without a slash is a command only where that command reads what follows.
func TestALineWithoutASlash(t *testing.T) {
	cases := []struct{ line, command, text string }{
		{"stock Dunmere Deep 27G 13 mm", stockName, "Dunmere Deep 27G 13 mm"},
		{"Stock: Dunmere Deep 27G 13 mm", stockName, "Dunmere Deep 27G 13 mm"},
		{"stock needle on Orrick Mid", holdName, "stock needle on Orrick Mid"},
		{"untested?", untestedName, ""},
		{"bench", benchName, ""},
		{"bench figures of Orrick Mid", holdName, "bench figures of Orrick Mid"},
		{"batch B-1 3.4", batchName, "B-1 3.4"},
		{"log orrick mid 30g 13mm 7", logName, "orrick mid 30g 13mm 7"},
		{"withdraw 27", withdrawName, "27"},
		{"hold orrick mid 30g", holdName, "hold orrick mid 30g"},
		{"help!", helpName, ""},
		{"orrick mid 30g", holdName, "orrick mid 30g"},
		{"", holdName, ""},
	}
	for _, c := range cases {
		if got := Typed(c.line, Asker{}); got.Command != c.command || got.Text != c.text {
			t.Errorf("%q: /%s with %q, want /%s with %q", c.line, got.Command, got.Text, c.command, c.text)
		}
	}
}
