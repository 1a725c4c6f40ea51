package commands

import (
	"fmt"
	"regexp"
	"testing"

	"holdbench/internal/knowledge"
)

// Page by page each test of a combination is listed once.
func TestNextPageGoesOnWhereTheListStopped(t *testing.T) {
	ctx, env := t.Context(), demoEnv(t)
	for n := range 45 {
		line := fmt.Sprintf("log orrick mid 30g 8mm %d.%d s", 3+n/10, n%10)
		if c := Answer(ctx, env, Typed(line, askingMember)); c.Refused || c.Failed {
			t.Fatal(c.Text())
		}
	}
	m, err := env.Group.Member(ctx, askingMember.Ref)
	if err != nil {
		t.Fatal(err)
	}
	own, err := env.Group.Changes(ctx, knowledge.ChangeFilter{MemberID: m.ID})
	if err != nil {
		t.Fatal(err)
	}
	for line, want := range map[string]int{"/record tests orrick mid 30g 8mm": 45, "/record history": len(own)} {
		seen := map[string]int{}
		pages := 0
		for req := Typed(line, askingMember); req.Command != ""; pages++ {
			c := Answer(ctx, env, req)
			req = Request{}
			for _, f := range c.Facts {
				if number := regexp.MustCompile(`\btest \d+`).FindString(f.Label + " " + f.Text); number != "" {
					seen[number]++
				}
			}
			for _, a := range c.Actions {
				if a.Label == nextPage {
					req = a.Request
					req.Asker = askingMember
				}
			}
		}
		if pages < 3 || len(seen) != want {
			t.Errorf("%s: %d tests on %d pages, want %d", line, len(seen), pages, want)
		}
		for number, times := range seen {
			if times != 1 {
				t.Errorf("%s: %s is listed %d times", line, number, times)
			}
		}
	}
}
