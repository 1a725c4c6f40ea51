package room

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"holdbench/internal/commands"
)

// A picture is written to a file whose path is said, a second one beside it.
func TestPicturesAreWrittenAndNothingIsOverwritten(t *testing.T) {
	folder := t.TempDir()
	mine := filepath.Join(folder, "picture.png")
	if err := os.WriteFile(mine, []byte("my own"), 0o644); err != nil {
		t.Fatal(err)
	}
	got := serve(t, Room{Files: Folder{Path: folder}}, strings.NewReader("/explain picture alder one 30g "+
		"13mm\n/explain picture alder two 30g 13mm\n"))
	second, third := filepath.Join(folder, "picture-2.png"), filepath.Join(folder, "picture-3.png")
	wants(t, got, "\n  picture: "+second+"\n", "\n  picture: "+third+"\n")
	if kept, err := os.ReadFile(mine); err != nil || string(kept) != "my own" {
		t.Errorf("%q, %v", kept, err)
	}
	for _, path := range []string{second, third} {
		data, err := os.ReadFile(path)
		if err != nil || !bytes.HasPrefix(data, []byte("\x89PNG")) {
			t.Errorf("%s: %d bytes, %v", path, len(data), err)
		}
	}
}

func TestWhereTheFolderCannotBeWrittenToAnotherIsTaken(t *testing.T) {
	temporary := t.TempDir()
	t.Setenv("TMPDIR", temporary)
	f := Folder{Path: filepath.Join(t.TempDir(), "not there")}
	card := commands.Card{Picture: &commands.Picture{Name: "a.png", PNG: []byte("1")},
		Files: []commands.File{{Name: "../b.csv", Data: []byte("2")}}}
	kept, err := f.Keep(card)
	if err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]string{kept.Picture.Name: "1", kept.Files[0].Name: "2"} {
		if got, err := os.ReadFile(path); err != nil || string(got) != want ||
			filepath.Dir(filepath.Dir(path)) != temporary {
			t.Errorf("%s: %q, %v", path, got, err)
		}
	}
	if card.Picture.Name != "a.png" || card.Files[0].Name != "../b.csv" {
		t.Error("the card that was handed in has changed")
	}
}

func TestCurrentFolderIsSaidAsSuch(t *testing.T) {
	t.Chdir(t.TempDir())
	kept, err := new(Folder).Keep(commands.Card{Files: []commands.File{{Name: "b.csv"}}})
	if err != nil || kept.Files[0].Name != "./b.csv" {
		t.Errorf("%+v, %v", kept.Files, err)
	}
}
