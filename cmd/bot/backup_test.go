package main

import (
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

const oneTest = `/log product:"Orrick Mid" instrument:"30G 13 mm needle" seconds:4.2` + "\n"

// inRoom is the local room running on a store of its own, until the returned
// function ends it.
func inRoom(t *testing.T, environ []string) (end func()) {
	t.Helper()
	cmd := exec.Command(program(t), "room")
	cmd.Env = withOnly(environ)
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { cmd.Process.Kill() })
	if _, err := out.Read(make([]byte, 1)); err != nil { // its banner: the store is open
		t.Fatal(err)
	}
	go io.Copy(io.Discard, out)
	return func() {
		in.Close()
		if err := cmd.Wait(); err != nil {
			t.Error(err)
		}
	}
}

func moved(t *testing.T, from, to string) {
	t.Helper()
	if err := os.Rename(from, to); err != nil {
		t.Fatal(err)
	}
}

func TestBackupAndRestoreWithTheProgramRunning(t *testing.T) {
	t.Parallel()
	environ, copied := ownStore(t), filepath.Join(t.TempDir(), "copy.db")
	mustRun(t, environ, "", "import", "products", demoFile("products"))
	mustRun(t, environ, oneTest)
	end := inRoom(t, environ)
	wants(t, mustRun(t, environ, "", "backup", copied), "Backed up and checked: 1 community, 1 test, the latest "+
		"logged on ")
	mustRun(t, environ, strings.Replace(oneTest, "4.2", "4.3", 1)) // not the same test twice
	got := bot(t, environ, "", "backup", copied)
	if exitCode(got.err) != exitFailed {
		t.Errorf("overwritten: %v", got.err)
	}
	wants(t, got.err.Error(), "is there already; --replace overwrites it")
	got = bot(t, environ, "", "restore", copied)
	if exitCode(got.err) != exitFailed {
		t.Fatalf("restored under the running program: %v", got.err)
	}
	wants(t, got.err.Error(), "end the bot first", "Nothing was changed", "process ")
	path := strings.TrimPrefix(environ[0], "HOLDBENCH_STORE_PATH=")
	moved(t, path, path+".moved")
	if got = bot(t, environ, "", "restore", copied); exitCode(got.err) != exitFailed {
		t.Fatalf("restored under the running program whose file was moved: %v", got.err)
	}
	wants(t, got.err.Error(), "end the bot first", "process ")
	moved(t, path+".moved", path)
	end()
	said := mustRun(t, environ, "", "restore", copied)
	wants(t, said, "Restored: 1 community, 1 test, ", ".before-restore-")
	wants(t, mustRun(t, environ, "", "ask", "/record tests orrick mid 30g 13mm"), "1 test by 1 member")
	kept := strings.TrimSpace(said[strings.LastIndex(said, "The store before: ")+len("The store before: "):])
	wants(t, mustRun(t, []string{"HOLDBENCH_STORE_PATH=" + kept}, "", "ask", "/record tests orrick mid 30g 13mm"),
		"2 tests by 1 member")
	wants(t, mustRun(t, environ, "", "backup", "--replace", copied), "1 test")
}

func TestBackupAndRestoreCalledWrongly(t *testing.T) {
	for _, args := range [][]string{{"backup"}, {"restore"}, {"backup", "a", "b"}, {"restore", "a", "--replace"}} {
		if got := bot(t, ownStore(t), "", args...); exitCode(got.err) != exitUsage {
			t.Errorf("bot %v: exit code %d, %v", args, exitCode(got.err), got.err)
		}
	}
	for _, args := range [][]string{{"backup", "copy.db"}, {"restore", "copy.db"}} {
		if got := bot(t, nil, "", args...); exitCode(got.err) != exitFailed ||
			!strings.Contains(got.err.Error(), "HOLDBENCH_STORE_PATH") {
			t.Errorf("without a store, bot %v: %v", args, got.err)
		}
	}
	if got := bot(t, ownStore(t), "", "restore",
		filepath.Join(t.TempDir(), "none.db")); exitCode(got.err) != exitFailed ||
		!strings.Contains(got.err.Error(), "nothing was changed") {
		t.Errorf("a backup that is not there: %v", got.err)
	}
}

func TestNightlyBackupWhileServing(t *testing.T) {
	t.Parallel()
	srv, guild, ada, environ := platform(t)
	folder := t.TempDir()
	environ = append(environ, ownStore(t)...)
	environ = append(environ, "HOLDBENCH_BACKUP_FOLDER="+folder, "HOLDBENCH_BACKUP_HOUR=0", toBeSeen)
	p := startProgram(t, environ)
	offered(t, srv, ada, guild)
	for end := time.Now().Add(30 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		if made, err := filepath.Glob(filepath.Join(folder, "holdbench-*.db")); err == nil && len(made) == 1 {
			break
		}
		if time.Now().After(end) {
			t.Fatal("no backup was made")
		}
	}
	wants(t, eventually(t, p.address(t)+"/metrics", "holdbench_backup_age_seconds "), "holdbench_backup_wanted 1")
	p.terminate(t)
}

func TestABackupFolderThatIsNotThereEndsTheStartInWords(t *testing.T) {
	_, _, _, environ := platform(t)
	environ = append(environ, ownStore(t)...)
	got := bot(t, append(environ, "HOLDBENCH_BACKUP_FOLDER="+filepath.Join(t.TempDir(), "none"),
		"HOLDBENCH_BACKUP_HOUR=0"), "")
	if exitCode(got.err) != exitUseless || !strings.Contains(got.err.Error(), "backup.folder") {
		t.Errorf("a folder that is not there: %v", got.err)
	}
}
