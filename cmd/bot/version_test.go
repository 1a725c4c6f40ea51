package main

import (
	"os"
	"regexp"
	"testing"
)

// The changelog begins with the version that the program names.
func TestChangelogBeginsWithTheRelease(t *testing.T) {
	page, err := os.ReadFile("../../CHANGELOG.md")
	if err != nil {
		t.Fatal(err)
	}
	first := regexp.MustCompile(`(?m)^## (\S+)`).FindSubmatch(page)
	if first == nil || string(first[1]) != release {
		t.Errorf("the changelog's first version is %q, the program's is %q", first, release)
	}
}
