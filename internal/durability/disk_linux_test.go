package durability

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"holdbench/internal/knowledge"
)

// smallDisk is a small file system in memory, and a function that mounts it again.
func smallDisk(t *testing.T, size string) (folder string, remount func(flags uintptr)) {
	t.Helper()
	if os.Geteuid() != 0 {
		t.Skip("only root may mount a disk")
	}
	folder = t.TempDir()
	if err := syscall.Mount("tmpfs", folder, "tmpfs", 0, "size="+size); err != nil {
		t.Skipf("no disk can be mounted here: %v", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(folder, 0); err != nil {
			t.Error(err)
		}
	})
	return folder, func(flags uintptr) {
		t.Helper()
		if err := syscall.Mount("", folder, "", syscall.MS_REMOUNT|flags, ""); err != nil {
			t.Fatal(err)
		}
	}
}

// TestFullDisk fills the disk under a running program. The program says what it could not
// store, everything it confirmed is there, and once there is room it goes on by itself.
func TestFullDisk(t *testing.T) {
	t.Parallel()
	folder, _ := smallDisk(t, "8m")
	path := filepath.Join(folder, "bench.db")
	r := must(enter(t.Context(), path))(t)
	confirmedLog(t, r, "first")
	ballast := filepath.Join(folder, "ballast")
	fillUp(t, ballast)
	confirmed := 1
	for n := 0; ; n++ { // what room the file has within itself is used up first
		card := r.ask(t.Context(), logRequest(gel(n), needles[n%len(needles)], "3", fmt.Sprint("number ", n)))
		if !strings.HasPrefix(card.Verdict, "Logged as test ") {
			refusedFor(t, r, card, "the disk is full", "full")
			break
		}
		if confirmed++; confirmed > 2000 {
			t.Fatal("the disk never was full")
		}
	}
	answered(t, r)
	soundAfterwards(t, path, confirmed)
	if err := os.Remove(ballast); err != nil {
		t.Fatal(err)
	}
	confirmedLog(t, r, "with room")
	soundAfterwards(t, path, confirmed+1)
	if err := r.store.Close(); err != nil {
		t.Error(err)
	}
	soundAfterwards(t, path, confirmed+1)
}

// fillUp writes until there is no room left.
func fillUp(t *testing.T, path string) {
	t.Helper()
	file := must(os.Create(path))(t)
	defer file.Close()
	for block := make([]byte, pageSize); ; {
		if _, err := file.Write(block); errors.Is(err, syscall.ENOSPC) {
			return
		} else if err != nil {
			t.Fatal(err)
		}
	}
}

// TestReadOnlyDisk: a store that cannot be written to is not opened at all, and opens once it can be.
func TestReadOnlyDisk(t *testing.T) {
	t.Parallel()
	folder, remount := smallDisk(t, "8m")
	path := filepath.Join(folder, "bench.db")
	r := must(enter(t.Context(), path))(t)
	confirmedLog(t, r, "first")
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}
	remount(syscall.MS_RDONLY)
	if _, err := knowledge.Open(t.Context(), path); !errors.Is(err, knowledge.ErrReadOnly) {
		t.Errorf("got %v", err)
	}
	if _, err := knowledge.Open(t.Context(), filepath.Join(folder, "new.db")); !errors.Is(err, knowledge.ErrReadOnly) {
		t.Errorf("a new store: got %v", err)
	}
	remount(0)
	r = must(enter(t.Context(), path))(t)
	defer r.store.Close()
	confirmedLog(t, r, "second")
	soundAfterwards(t, path, 2)
}

// TestProtectedFileAndFolder opens the store as a user who may only read it: root may write to
// any file.
func TestProtectedFileAndFolder(t *testing.T) {
	t.Parallel()
	if os.Geteuid() != 0 {
		t.Skip("only root may become somebody else")
	}
	for scene, modes := range map[string][2]os.FileMode{"file": {0o444, 0o777}, "folder": {0o666, 0o555}} {
		t.Run(scene, func(t *testing.T) {
			t.Parallel()
			path := closedWith(t, 1)
			folder := filepath.Dir(path)
			if err := errors.Join(os.Chmod(path, modes[0]), os.Chmod(folder, modes[1]),
				os.Chmod(filepath.Dir(folder), 0o755)); err != nil {
				t.Fatal(err)
			}
			if said := knock(t, path); !strings.Contains(said, knowledge.ErrReadOnly.Error()) {
				t.Errorf("said %q", said)
			}
			if err := errors.Join(os.Chmod(path, 0o666), os.Chmod(folder, 0o777)); err != nil {
				t.Fatal(err)
			}
			if said := knock(t, path); !strings.HasPrefix(said, "Logged as test 2: ") {
				t.Errorf("with the right to write: said %q", said)
			}
			soundAfterwards(t, path, 2)
		})
	}
}

// knock logs a test as the user nobody, and returns the answer.
func knock(t *testing.T, path string) string {
	t.Helper()
	cmd := exec.Command("/proc/self/exe") // nobody may not look into the folder of this program
	cmd.Env = append(os.Environ(), childVariable+"=knock", storeVariable+"="+path)
	cmd.Dir = "/"
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
	out, err := cmd.CombinedOutput()
	var ended *exec.ExitError
	if err != nil && !errors.As(err, &ended) {
		t.Fatal(err)
	}
	return string(out)
}
