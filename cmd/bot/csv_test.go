package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"holdbench/internal/knowledge"
)

// filled is a store with the demo's files imported one by one.
func filled(t *testing.T) []string {
	t.Helper()
	environ := ownStore(t)
	for _, kind := range knowledge.ImportKinds() {
		mustRun(t, environ, "", "import", string(kind), demoFile(string(kind)))
	}
	return environ
}

func TestSecondImportAddsNothing(t *testing.T) {
	environ := filled(t)
	for _, kind := range knowledge.ImportKinds() {
		before := mustRun(t, environ, "", "export", string(kind))
		wants(t, mustRun(t, environ, "", "import", string(kind), demoFile(string(kind))), ": 0 added, ")
		if after := mustRun(t, environ, "", "export", string(kind)); after != before {
			t.Errorf("%s changed by a second import", kind)
		}
	}
}

func TestExportingAndImportingAgainChangesNothing(t *testing.T) {
	environ, again := filled(t), ownStore(t)
	folder := t.TempDir()
	for _, kind := range knowledge.ImportKinds() {
		exported := mustRun(t, environ, "", "export", string(kind))
		path := filepath.Join(folder, string(kind)+".csv")
		if err := os.WriteFile(path, []byte(exported), 0o600); err != nil {
			t.Fatal(err)
		}
		mustRun(t, again, "", "import", string(kind), path)
	}
	for _, kind := range knowledge.ImportKinds() {
		if kind == knowledge.MemberFile {
			continue // the person at each keyboard comes first in either
		}
		a, b := mustRun(t, environ, "", "export", string(kind)), mustRun(t, again, "", "export", string(kind))
		if a != b {
			t.Errorf("%s came out differently after a round trip", kind)
		}
	}
	for _, store := range [][]string{environ, again} {
		wants(t, mustRun(t, store, "", "ask", "orrick mid 27g 13mm"),
			mustRun(t, environ, "", "ask", "orrick mid 27g 13mm"))
	}
}

func TestExportIsTheDemoFile(t *testing.T) {
	want, err := os.ReadFile(demoFile("tests"))
	if err != nil {
		t.Fatal(err)
	}
	if got := mustRun(t, nil, "", "export", "tests"); got != string(want) {
		t.Error("the exported tests are not the file they came from")
	}
}

func TestHistoryGoesOutAndNotIn(t *testing.T) {
	environ := filled(t)
	mustRun(t, environ, "/record withdraw test:27 reason:\"wrong box\"\n", "room")
	got := mustRun(t, environ, "", "export", "history")
	wants(t, got, "test,action,changed_at,by,reason,state,tested_on,", "27,withdrawn,", ",wrong box,withdrawn,")
	if in := bot(t, environ, "", "import", "history", demoFile("tests")); exitCode(in.err) != exitUsage {
		t.Errorf("exit code %d, %v", exitCode(in.err), in.err)
	}
}

// badTests is the demo's tests with two rows spoilt.
func badTests(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile(demoFile("tests"))
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(text), "\n")
	lines[4] = strings.Replace(lines[4], "Pellow Lip", "Quimbleton", 1)
	lines[6] = strings.Replace(lines[6], "0.1", "-0.1", 1)
	path := filepath.Join(t.TempDir(), "bad.csv")
	if err := os.WriteFile(path, []byte(strings.Join(lines, "\n")), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestBadRowsAreNamedAndNothingIsStored(t *testing.T) {
	environ := ownStore(t)
	for _, kind := range knowledge.ImportKinds()[:3] {
		mustRun(t, environ, "", "import", string(kind), demoFile(string(kind)))
	}
	got := bot(t, environ, "", "import", "tests", badTests(t))
	if exitCode(got.err) != exitFailed {
		t.Errorf("exit code %d, %v", exitCode(got.err), got.err)
	}
	wants(t, got.stderr, "line 5: ", "Quimbleton", "line 7: ", "pull")
	if exported := mustRun(t, environ, "", "export", "tests"); strings.Count(exported, "\n") != 1 {
		t.Errorf("stored all the same:\n%.300s", exported)
	}
}

func TestSkipBadStoresTheRest(t *testing.T) {
	environ := ownStore(t)
	for _, kind := range knowledge.ImportKinds()[:3] {
		mustRun(t, environ, "", "import", string(kind), demoFile(string(kind)))
	}
	got := bot(t, environ, "", "import", "tests", badTests(t), "--skip-bad")
	if exitCode(got.err) != exitLeftOut { // what was asked for, and not all of the file
		t.Fatal(got.err)
	}
	wants(t, got.stderr, "line 5: ", "line 7: ")
	wants(t, got.stdout, "144 rows: 142 added, 0 there already, 2 bad ones left out")
	if exported := mustRun(t, environ, "", "export", "tests"); strings.Count(exported, "\n") != 143 {
		t.Errorf("%d lines exported", strings.Count(exported, "\n"))
	}
}
