package database

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

func TestPlacesOfArgumentsAreNumbered(t *testing.T) {
	q := Querier{numbered: true}
	text, args := q.bind(`SELECT a FROM t WHERE a = ? AND b IN (?, ?)`, []any{"x", true, []byte("b"), false})
	if text != `SELECT a FROM t WHERE a = $1 AND b IN ($2, $3)` {
		t.Errorf("got %s", text)
	}
	if args[0] != "x" || args[1] != int64(1) || args[3] != int64(0) {
		t.Errorf("got %v", args)
	}
	if text, _ := (Querier{}).bind(`SELECT ?`, nil); text != `SELECT ?` {
		t.Errorf("SQLite got %s", text)
	}
}

// A ? that stands for no argument would be numbered, too.
func TestNoStatementHasAQuestionMarkInAText(t *testing.T) {
	statement := regexp.MustCompile("(?s)`[^`]*`")
	sql, seen := regexp.MustCompile(`= \?|\b[A-Z]{3,}\b`), 0
	for _, folder := range []string{".", filepath.Join("..", "knowledge")} {
		for _, path := range must(filepath.Glob(filepath.Join(folder, "*.go")))(t) {
			if strings.HasSuffix(path, "_test.go") {
				continue
			}
			for _, text := range statement.FindAllString(string(must(os.ReadFile(path))(t)), -1) {
				if !sql.MatchString(text) {
					continue
				}
				seen += strings.Count(text, "?")
				if inText(text) {
					t.Errorf("%s: %s", path, text)
				}
			}
		}
	}
	if seen < 200 {
		t.Errorf("only %d arguments were seen", seen)
	}
	for text, want := range map[string]bool{"a = 'b?'": true, "a = '' AND b = ? AND c <> ''": false, "a -- b?": true,
		"'it''s' = ?": false} {
		if inText(text) != want {
			t.Errorf("%s: %v", text, !want)
		}
	}
}

// inText reports whether a ? of a statement is in a quoted text or a comment.
func inText(statement string) bool {
	for line := range strings.Lines(statement) {
		line, comment, _ := strings.Cut(line, "--")
		if strings.Contains(comment, "?") {
			return true
		}
		for i, part := range strings.Split(line, "'") {
			if i%2 == 1 && strings.Contains(part, "?") {
				return true
			}
		}
	}
	return false
}
