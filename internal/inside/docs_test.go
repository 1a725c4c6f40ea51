package inside

import (
	"maps"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// The metrics that docs/operate.md lists are those that are served.
func TestMetricsOfTheDocsAreServed(t *testing.T) {
	page, err := os.ReadFile("../../docs/operate.md")
	if err != nil {
		t.Fatal(err)
	}
	listed, served := map[string]bool{}, servedMetrics(t)
	for _, found := range regexp.MustCompile("`(holdbench_[a-z_]+)(?:\\{|`)").FindAllStringSubmatch(string(page), -1) {
		listed[found[1]] = true
	}
	if !maps.Equal(listed, served) {
		t.Errorf("docs/operate.md lists %v; served are %v",
			slices.Sorted(maps.Keys(listed)), slices.Sorted(maps.Keys(served)))
	}
}

// servedMetrics are the names of this program's own metrics.
func servedMetrics(t *testing.T) map[string]bool {
	t.Helper()
	families, err := New(wellHouse().sources()).registry.Gather()
	if err != nil {
		t.Fatal(err)
	}
	names := map[string]bool{}
	for _, family := range families {
		if name := family.GetName(); strings.HasPrefix(name, "holdbench_") {
			names[name] = true
		}
	}
	return names
}
