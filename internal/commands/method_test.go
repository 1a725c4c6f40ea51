package commands

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"holdbench/internal/say"
)

// The short form says nothing that the long page does not: the page is where it is
// said to be, it has the same assumptions, and figures of the calibration agree.
func TestMethodAgreesWithTheLongPage(t *testing.T) {
	page, err := os.ReadFile(filepath.Join("..", "..", filepath.FromSlash(methodPage)))
	if err != nil {
		t.Fatal(err)
	}
	long := strings.Join(strings.Fields(string(page)), " ")
	env := demoEnv(t)
	short := ""
	for _, part := range append(methodPartNames(), "") {
		short += " " + says(t, env, askingMember, "/holdbench method "+part).Text()
	}
	short = strings.Join(strings.Fields(short), " ")
	for _, c := range []struct{ short, long string }{
		{"15 in 100 between combinations, 8 in 100 between hands, 12 in 100 for the rest",
			"0.15, 0.08 and 0.12 are assumptions"},
		{"From 30 repeats in 8 combinations", "30 repeats by the same tester in 8 combinations"},
		{"Hub: 5 mm", "tube held inside the hub | 5 mm | memory"},
		{"0.03 mL, or 0.005 mL in a fixed-needle syringe", "0.03 / 0.005 mL | memory"},
		{"Pull: 0.1 mL", "pull where none was recorded | 0.1 mL | memory"},
		{"stopwatch ± 0.3 s", "stopwatch ± 0.3 s"},
		{"2 in 100 are taken to be typing slips", "probability 0.02"},
		{"agree with the limits in 24 of 25", "agree with its counts in 24 of 25"},
		{"One combination in twenty is taken to be unlike the gel's others", "one in twenty is taken to be **odd**"},
		{"1 to 4 in 100 are said to differ by chance", "1 to 4 in 100 testers are said to differ who do not"},
		{"sooner by up to about half", "by up to about half"},
		{"a(1 − s) / (a(1 − s) + 1 − a)", "a(1−s) / (a(1−s) + 1−a)"},
		{"no more than 99 in 100 is ever taken", "more than 99 in 100 is never taken to show"},
		{"10 and 200 are taken where none are said (chosen)", "10 placements a day, 200 days"},
	} {
		if !strings.Contains(short, c.short) {
			t.Errorf("the short form does not say %q", c.short)
		}
		if !strings.Contains(long, c.long) {
			t.Errorf("the long page does not say %q", c.long)
		}
	}
}

// The page's table of states is that of the answers: words, marks and when each applies.
func TestMethodPageHasTheStates(t *testing.T) {
	page, err := os.ReadFile(filepath.Join("..", "..", filepath.FromSlash(methodPage)))
	if err != nil {
		t.Fatal(err)
	}
	var rows []string
	for _, s := range say.Standings() {
		rows = append(rows, fmt.Sprintf("| %s | %s, %s | %s |", s.Short, s.Mark, s.Colour, s.When))
	}
	if want := strings.Join(rows, "\n"); !strings.Contains(string(page), want) {
		t.Errorf("the page's table of states is not\n%s", want)
	}
}

// What a part tells people to type is there.
func TestMethodNamesCommandsThatExist(t *testing.T) {
	env := demoEnv(t)
	behindSlash := regexp.MustCompile(`(?:^|\s)/([a-z]+(?: [a-z]+){0,2})`)
	for _, part := range append(methodPartNames(), "") {
		card := says(t, env, askingMember, "/holdbench method "+part)
		// two phone screens
		if card.Refused || len(card.Facts) == 0 || len(card.Sources) == 0 || len(card.Text()) > 2400 {
			t.Errorf("%q:\n%s", part, card.Text())
		}
		for _, m := range behindSlash.FindAllStringSubmatch(card.Text(), -1) {
			if cmd, _ := named(m[1]); cmd == nil {
				t.Errorf("%q: there is no /%s", part, m[1])
			}
		}
	}
}
