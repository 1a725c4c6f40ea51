package commands

import "strings"

// mostSuggestions is how many a phone's picker can show.
const mostSuggestions = 25

// contains reports whether any of the names contains what was typed, whatever the letter case and the spaces.
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
