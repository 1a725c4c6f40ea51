package commands

import "testing"

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
