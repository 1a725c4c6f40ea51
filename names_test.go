package holdbench

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"holdbench/config"
	"holdbench/internal/knowledge"
)

// A setting is named on a page by its key or by its variable in the environment.
var (
	variable = regexp.MustCompile(`HOLDBENCH_[A-Z][A-Z_]*`)
	key      = regexp.MustCompile("`([a-z]+\\.[a-z_]+)`")
)

// Every setting that a page names is one.
func TestSettingsOfTheDocsExist(t *testing.T) {
	known, sections := map[string]bool{"HOLDBENCH_CONFIG": true}, map[string]bool{}
	for _, s := range config.Settings() {
		known[s.Environment()], known[s.Key] = true, true
		section, _, _ := strings.Cut(s.Key, ".")
		sections[section] = true
	}
	for _, path := range pages(t) {
		page := read(t, path)
		named := variable.FindAllString(page, -1)
		for _, found := range key.FindAllStringSubmatch(page, -1) {
			if section, _, _ := strings.Cut(found[1], "."); sections[section] {
				named = append(named, found[1])
			}
		}
		for _, name := range named {
			if !known[name] {
				t.Errorf("%s names %s, which is no setting", path, name)
			}
		}
	}
}

// The columns that docs/import.md lists are those that the program writes.
func TestColumnsOfTheDocsAreWritten(t *testing.T) {
	const path = "docs/import.md"
	program, folder := build(t), t.TempDir()
	name := regexp.MustCompile("`([a-z_]+)`")
	for _, kind := range []string{"products", "instruments", "members", "stock", "tests"} {
		_, row, found := strings.Cut(read(t, path), "| "+kind+" | ")
		if !found {
			t.Errorf("%s has no row for %s", path, kind)
			continue
		}
		row, _, _ = strings.Cut(row, "\n")
		row, _, _ = strings.Cut(row, "; only where ") // what the demo has none of
		var got []string
		for _, column := range name.FindAllStringSubmatch(row, -1) {
			got = append(got, column[1])
		}
		heading, _, _ := strings.Cut(shell(t, program, folder, "go run ./cmd/bot export "+kind), "\n")
		if want := strings.Split(strings.TrimSpace(heading), ","); !slices.Equal(got, want) {
			t.Errorf("%s lists the columns %v of %s; the program writes %v", path, got, kind, want)
		}
	}
}

// What docs/operate.md says that the log says of a fault is what the fault says.
func TestFaultsOfTheDocsAreLogged(t *testing.T) {
	faults := []error{knowledge.ErrFull, knowledge.ErrReadOnly, knowledge.ErrBusy, knowledge.ErrNewerStore,
		knowledge.ErrDamaged, knowledge.ErrDisk, knowledge.ErrMoved, knowledge.ErrUnreachable}
	_, table, _ := strings.Cut(read(t, "docs/operate.md"), "| members read |")
	rows := regexp.MustCompile("(?m)^\\| [^|]+ \\| `([^`]+)` \\| ").FindAllStringSubmatch(table, -1)
	if len(rows) != len(faults) {
		t.Fatalf("docs/operate.md has %d faults of the store, want %d", len(rows), len(faults))
	}
	for i, row := range rows {
		if !strings.Contains(faults[i].Error(), row[1]) {
			t.Errorf("docs/operate.md says that the log says %q; it says %q", row[1], faults[i])
		}
	}
}
