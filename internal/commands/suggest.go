package commands

import (
	"context"
	"strings"
)

// mostSuggestions is how many a phone's picker can show.
const mostSuggestions = 25

// productsHolding are the products with what was typed in one of their names.
func productsHolding(ctx context.Context, env *Env, typed string) ([]string, error) {
	v, err := env.Group.Vocabulary(ctx)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, p := range v.Products {
		if contains(append([]string{p.Name}, p.Aliases...), typed) {
			names = append(names, p.Name)
		}
	}
	return first(names), nil
}

// contains reports whether any of the names holds what was typed, letter case
// and spaces ignored.
func contains(names []string, typed string) bool {
	typed = squeeze(typed)
	for _, name := range names {
		if strings.Contains(squeeze(name), typed) {
			return true
		}
	}
	return false
}

func squeeze(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), "")) }

func first(names []string) []string { return names[:min(len(names), mostSuggestions)] }
