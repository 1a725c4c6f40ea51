package commands

import (
	"slices"
	"testing"

	"holdbench/internal/trade"
)

// Of a pasted list, names that are nearly those of gels on the list are asked about one by
// one; the others are stored at once.
func TestTheStartAsksAboutNamesThatAreNearlyOnes(t *testing.T) {
	env := demoEnv(t)
	listed := func() (names []string) {
		for _, p := range must(env.Group.Vocabulary(t.Context()))(t).Products {
			names = append(names, append([]string{p.Name}, p.Aliases...)...)
		}
		return names
	}
	card := says(t, env, askingTrainer,
		`/holdbench start gels:"Osmer Deep; 0smer Deep; Brackley Sheer; Osmmer Deep; Osmer Deep" class:"firm HA"`)
	wants(t, card.Text(), "4 of 5 · Gels", "“0smer Deep” is nearly Osmer Deep, which is on the list. Is it another gel?",
		"Then 1 more name is asked about.", "Left out, “Osmer Deep”: it is on the list.")
	if names := listed(); !slices.Contains(names, "Brackley Sheer") || slices.Contains(names, "0smer Deep") {
		t.Fatalf("listed: %q", names)
	}
	card = pressed(t, env, card, askingTrainer, "yes, another gel")
	wants(t, card.Text(), "“Osmmer Deep” is nearly")
	card = pressed(t, env, card, askingTrainer, "no, another name for Osmer Deep")
	p := must(env.Group.Product(t.Context(), "Osmmer Deep"))(t)
	other := must(env.Group.Product(t.Context(), "0smer Deep"))(t)
	if len(card.Choices) > 0 || p.Name != "Osmer Deep" || other.Name != "0smer Deep" || other.Class != "firm HA" {
		t.Errorf("%s\n%+v\n%+v", card.Text(), p, other)
	}
	for _, pair := range must(env.Group.AlikeProducts(t.Context()))(t) {
		if slices.ContainsFunc(pair[:], func(one trade.Product) bool { return one.ID == other.ID }) {
			t.Errorf("the desk asks again about %s and %s", pair[0].Name, pair[1].Name)
		}
	}
}
