package holdbench

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// link is a link to a page or to a heading, or a picture that is shown.
var link = regexp.MustCompile(`\]\(([^)\s]+)\)|src="([^"]+)"`)

// unread is what Markdown takes neither for a link nor for a heading.
var unread = regexp.MustCompile("(?ms)^```.*?^```$|`[^`\n]*`")

// Every link of a page leads to a file or a heading that exists, and every page in
// docs is linked from another.
func TestLinksOfTheDocsLeadSomewhere(t *testing.T) {
	linked := map[string]bool{}
	for _, from := range pages(t) {
		for _, found := range link.FindAllStringSubmatch(unread.ReplaceAllString(read(t, from), ""), -1) {
			target := found[1] + found[2]
			if strings.Contains(target, "://") {
				continue
			}
			file, heading, inside := strings.Cut(target, "#")
			to := from
			if file != "" {
				to = filepath.ToSlash(filepath.Join(filepath.Dir(from), file))
				linked[to] = linked[to] || to != from
			}
			if _, err := os.Stat(to); err != nil {
				t.Errorf("%s: the link %s: %v", from, target, err)
			} else if inside && !anchors(read(t, to))[heading] {
				t.Errorf("%s: the link %s: no such heading", from, target)
			}
		}
	}
	for _, page := range pages(t) {
		if page != "README.md" && !linked[page] {
			t.Errorf("no page has a link to %s", page)
		}
	}
}

// anchors are what the headings of a page are linked by: in small letters, without
// punctuation, "-" for a space.
func anchors(page string) map[string]bool {
	found := map[string]bool{}
	for _, line := range strings.Split(unread.ReplaceAllString(page, ""), "\n") {
		if !strings.HasPrefix(line, "#") {
			continue
		}
		heading := strings.TrimSpace(strings.TrimLeft(line, "#"))
		found[strings.Map(func(r rune) rune {
			switch {
			case r == ' ':
				return '-'
			case r == '-', r == '_', unicode.IsLetter(r), unicode.IsDigit(r):
				return unicode.ToLower(r)
			}
			return -1
		}, heading)] = true
	}
	return found
}

// The README is read in one go: at most 150 lines of at most 120 columns.
func TestReadmeIsShort(t *testing.T) {
	lines := strings.Split(strings.TrimSuffix(read(t, "README.md"), "\n"), "\n")
	if len(lines) > 150 {
		t.Errorf("README.md has %d lines; what is more than 150 goes to docs", len(lines))
	}
	for i, line := range lines {
		if n := utf8.RuneCountInString(line); n > 120 {
			t.Errorf("README.md:%d has %d columns, 120 at most", i+1, n)
		}
	}
}
