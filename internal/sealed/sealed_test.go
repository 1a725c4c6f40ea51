package sealed

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"filippo.io/age"
)

// newKey makes a pair: the public key, and a file with the private one.
func newKey(t *testing.T) (public, file string) {
	t.Helper()
	identity, err := age.GenerateX25519Identity()
	if err != nil {
		t.Fatal(err)
	}
	return identity.Recipient().String(), written(t, "# made for a test\n"+identity.String()+"\n")
}

func written(t *testing.T, text string) (path string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// sealedTo is a file with a text sealed to public keys.
func sealedTo(t *testing.T, text, public string) (path string) {
	t.Helper()
	keys, err := ReadKeys(public)
	if err != nil || keys.None() {
		t.Fatal(keys, err)
	}
	var out bytes.Buffer
	w, err := keys.Seal(&out)
	if err == nil {
		_, err = w.Write([]byte(text))
		err = errors.Join(err, w.Close())
	}
	if err != nil || strings.Contains(out.String(), text) {
		t.Fatalf("%v; %d bytes", err, out.Len())
	}
	return written(t, out.String())
}

func TestWhoeverHasAKeyOpensIt(t *testing.T) {
	text := strings.Repeat("whole milk, ", 20_000) // of several of the format's chunks of 64 KiB
	first, firstFile := newKey(t)
	second, secondFile := newKey(t)
	path := sealedTo(t, text, " "+first+" \n"+second)
	for _, key := range []string{firstFile, secondFile} {
		var got bytes.Buffer
		if err := Open(&got, path, key); err != nil || got.String() != text {
			t.Errorf("%d bytes, %v", got.Len(), err)
		}
	}
	if is, err := Is(path); !is || err != nil {
		t.Errorf("not known as sealed: %v", err)
	}
}

func TestNobodyElseOpensItAndAFaultIsTold(t *testing.T) {
	public, key := newKey(t)
	_, other := newKey(t)
	text := strings.Repeat("whole milk, ", 20_000)
	path := sealedTo(t, text, public)
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := Open(&bytes.Buffer{}, path, other); !errors.Is(err, ErrOtherKey) {
		t.Errorf("with another key: %v", err)
	}
	flipped := bytes.Clone(whole)
	flipped[len(flipped)/2] ^= 1
	for scene, text := range map[string]string{"cut short": string(whole[:len(whole)-70_000]),
		"a bit changed": string(flipped), "a note": "notes"} {
		if err := Open(&bytes.Buffer{}, written(t, text), key); err == nil {
			t.Errorf("%s: opened", scene)
		}
	}
	secret := "AGE-SECRET-KEY-1NOTREALLY"
	if err := Open(&bytes.Buffer{}, path, written(t, secret)); err == nil || strings.Contains(err.Error(), secret) {
		t.Errorf("no key: %v", err)
	}
	for _, text := range []string{"", "notes", "SQLite format 3\x00 and more than the head"} {
		if is, err := Is(written(t, text)); is || err != nil {
			t.Errorf("%q is taken for sealed, %v", text, err)
		}
	}
}

func TestOnlyPublicKeysAreTaken(t *testing.T) {
	identity, err := age.GenerateX25519Identity()
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{"age1", "mine", identity.String(), identity.Recipient().String() + " x"} {
		if _, err := ReadKeys(text); err == nil || strings.Contains(err.Error(), identity.String()) {
			t.Errorf("taken: %v", err)
		}
	}
	if keys, err := ReadKeys("  "); err != nil || !keys.None() {
		t.Errorf("none: %v", err)
	}
}
