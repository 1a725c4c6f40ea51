package commands

import (
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func TestTextShowsEveryPartInOrder(t *testing.T) {
	c := Card{
		Title: "A gel", Verdict: "SHOWS IN TIME: hold 8 s",
		Facts:    []Fact{{"Tests", "11"}, {"", "half by 2 s"}},
		Choices:  []Choice{{Label: "one"}, {Label: "two"}},
		Warnings: []string{"look"}, Sources: []string{"the log"}, Caveats: []string{"mind"},
		Actions: []Action{
			{Label: "the tests", Request: Request{Command: testsName, Text: "a gel"}},
			{Label: "a button", Request: Request{Command: logName}, Tap: true},
		},
	}
	want := `A gel
SHOWS IN TIME: hold 8 s
  Tests: 11
  half by 2 s
   1  one
   2  two
  ! look
  source: the log
  → the tests: /record tests a gel
  – mind
`
	if got := c.Text(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	c.Untested = true
	if got := c.Text(); !strings.HasPrefix(got, "UNTESTED  A gel\n") {
		t.Errorf("untested begins %q", got[:20])
	}
}

// Whatever stands in a card, its text steers no terminal and keeps to the width.
func TestTextIsTameWhateverTheCard(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.StringOfN(rapid.Rune(), 0, 300, -1)
		c := Card{
			Title: words.Draw(t, "title"), Verdict: words.Draw(t, "verdict"),
			Facts:    []Fact{{words.Draw(t, "label"), words.Draw(t, "fact")}},
			Warnings: []string{words.Draw(t, "warning")},
			Choices:  []Choice{{Label: words.Draw(t, "choice")}},
		}
		for _, line := range strings.Split(c.Text(), "\n") {
			if n := utf8.RuneCountInString(line); n > textWidth {
				t.Fatalf("%d characters: %q", n, line)
			}
			for _, r := range line {
				if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) {
					t.Fatalf("control character %U in %q", r, line)
				}
			}
		}
	})
}

func TestEchoShortensAndTames(t *testing.T) {
	if got := echo("  a\x1b[31m\n b "); got != "“a\uFFFD[31m b”" {
		t.Errorf("%q", got)
	}
	if got := echo(strings.Repeat("x", 1<<20)); utf8.RuneCountInString(got) != maxEcho+3 {
		t.Errorf("%d characters", utf8.RuneCountInString(got))
	}
	if got := echo("\xff\xfe"); !utf8.ValidString(got) {
		t.Errorf("%q", got)
	}
}

// A number in groups of digits is not torn apart at the end of a line.
func TestLongNumbersStayOnOneLine(t *testing.T) {
	for before := range 90 {
		c := Card{Title: strings.Repeat("x", before%60) + " " + strings.Repeat("y", before/2) +
			" 10 000, 1 000 000 of 30 s"}
		for _, part := range []string{"10 000,", "1 000 000", "30 s"} {
			if !strings.Contains(c.Text(), part) {
				t.Errorf("%q is torn:\n%s", part, c.Text())
			}
		}
	}
}
