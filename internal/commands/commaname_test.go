package commands

import (
	"strings"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// A name is offered with whatever marks it has, and what is picked is that gel: in a question
// with more left open, and in a log line.
func TestNamesWithACommaCanBePickedAndLogged(t *testing.T) {
	env := demoEnv(t)
	names := []string{"Velmar, B", "Velmar, C (soft)", "Velmar 1/2 + D"}
	for _, name := range names {
		if _, err := env.Group.AddProduct(t.Context(), trade.Product{Name: name, Class: calc.SoftHA}); err != nil {
			t.Fatal(err)
		}
	}
	for i, name := range names {
		asked := says(t, env, askingMember, "velmar 27g")
		if len(asked.Choices) != len(names) {
			t.Fatalf("%d choices: %s", len(asked.Choices), asked.Text())
		}
		which := Answer(t.Context(), env, asked.Choices[i].Request)
		if len(which.Choices) == 0 || !strings.HasPrefix(which.Choices[0].Label, name+", 27G") {
			t.Fatalf("%s: %s", name, which.Text())
		}
		if got := Answer(t.Context(), env, which.Choices[0].Request); !strings.HasPrefix(got.Title,
			name+", 27G 13 mm needle") {
			t.Errorf("%s: %s", name, got.Title)
		}
		log := says(t, env, askingMember, "log velmar 27g 13mm "+[]string{"2.1", "3.2", "4.3"}[i]+" s")
		if len(log.Choices) != len(names) {
			t.Fatalf("%d choices: %s", len(log.Choices), log.Text())
		}
		if got := Answer(t.Context(), env, log.Choices[i].Request); !strings.HasPrefix(got.Title, name) ||
			!strings.Contains(got.Text(), "Logged as") {
			t.Errorf("%s: %s", name, got.Text())
		}
	}
}
