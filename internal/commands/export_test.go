package commands

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"holdbench/internal/knowledge"
)

// Each file is what the store writes, under a name without a folder, and a card
// without a file is one that was refused.
func TestAFileIsWhatTheStoreWrites(t *testing.T) {
	env, ctx := demoEnv(t), context.Background()
	for _, kind := range exportKinds() {
		var want bytes.Buffer
		if err := env.Group.Export(ctx, kind.FileKind, &want); err != nil {
			t.Fatal(err)
		}
		card := says(t, env, askingTrainer, "/record export kind:"+string(kind.FileKind))
		if len(card.Files) != 1 || !bytes.Equal(card.Files[0].Data, want.Bytes()) {
			t.Errorf("%s: %d files", kind.FileKind, len(card.Files))
			continue
		}
		if f := card.Files[0]; f.Name != string(kind.FileKind)+"-2026-11-24.csv" || !strings.HasPrefix(f.Type, "text/csv") {
			t.Errorf("%s: %q, %q", kind.FileKind, f.Name, f.Type)
		}
		if own := says(t, env, askingMember, "/record export kind:"+string(kind.FileKind)); (kind.FileKind == "tests") != (len(own.Files) == 1) || own.Refused != (kind.FileKind != "tests") {
			t.Errorf("%s for a member: %s", kind.FileKind, own.Text())
		}
	}
	if card := says(t, env, askingOutsider, "/record export"); !card.Refused || len(card.Files) != 0 {
		t.Errorf("somebody who does not belong got %s", card.Text())
	}
}

func TestAMembersFileHasTheirTestsAlone(t *testing.T) {
	env := demoEnv(t)
	says(t, env, askingMember, `/log product:"Tamsel Fine" instrument:"30G 13 mm needle" seconds:0:12.40-0:17.13 note:=1+1`)
	lines := strings.Split(strings.TrimSpace(string(says(t, env, askingMember, "/record export").Files[0].Data)),
		"\r\n")
	tests, err := env.Group.Tests(context.Background(), knowledge.TestFilter{State: knowledge.Kept})
	if err != nil {
		t.Fatal(err)
	}
	own := 0
	for _, test := range tests {
		if test.Tester.Ref == "quayside" {
			own++
		}
	}
	if len(lines) != own+1 || own == len(tests) {
		t.Errorf("%d lines, %d of %d tests are the member's", len(lines), own, len(tests))
	}
	for _, line := range lines[1:] {
		if !strings.Contains(line, ",quayside,") {
			t.Errorf("somebody else's: %s", line)
		}
	}
	if last := lines[len(lines)-1]; !strings.Contains(last, ",'=1+1,0:12.40") ||
		!strings.Contains(lines[0], ",film_marks,film_link") {
		t.Errorf("%s\n%s", lines[0], last)
	}
}
