package database

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"
)

func TestAFileThatCameMeanwhileIsNotReplaced(t *testing.T) {
	folder := t.TempDir()
	part, there := filepath.Join(folder, "part"), filepath.Join(folder, "copy.db")
	if err := errors.Join(os.WriteFile(part, []byte("new"), 0o600),
		os.WriteFile(there, []byte("mine"), 0o600)); err != nil {
		t.Fatal(err)
	}
	if err := giveName(part, there, false); !errors.Is(err, ErrDuplicate) {
		t.Errorf("got %v", err)
	}
	if text := must(os.ReadFile(there))(t); string(text) != "mine" {
		t.Errorf("it is now %q", text)
	}
}

func TestAnEncryptionThatFailsLeavesNothingBehind(t *testing.T) {
	db, folder := openStore(t), t.TempDir()
	full := errors.New("no room")
	to := Target{Path: filepath.Join(folder, "copy.db"),
		Seal: func(io.Writer) (io.WriteCloser, error) { return failing{full}, nil }}
	if _, err := db.Backup(t.Context(), benchSchema(), to); !errors.Is(err, full) {
		t.Errorf("got %v", err)
	}
	for _, place := range []string{folder, db.Workplace()} {
		if left := must(filepath.Glob(filepath.Join(place, ".copy.db*")))(t); len(left) > 0 {
			t.Errorf("left behind: %v", left)
		}
	}
}

// failing is an encryption that fails on the way.
type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

func (f failing) Close() error { return f.err }
