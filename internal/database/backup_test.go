package database

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

func TestAFileThatCameMeanwhileIsNotReplaced(t *testing.T) {
	folder := t.TempDir()
	part, there := filepath.Join(folder, "part"), filepath.Join(folder, "copy.db")
	if err := errors.Join(os.WriteFile(part, []byte("new"), 0o600), os.WriteFile(there, []byte("mine"), 0o600)); err != nil {
		t.Fatal(err)
	}
	if err := giveName(part, there, false); !errors.Is(err, ErrDuplicate) {
		t.Errorf("got %v", err)
	}
	if text := must(os.ReadFile(there))(t); string(text) != "mine" {
		t.Errorf("it is now %q", text)
	}
}
