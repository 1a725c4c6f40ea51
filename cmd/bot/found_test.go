package main

import (
	"errors"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"holdbench/internal/discord/discordtest"
	"holdbench/internal/knowledge"
)

// storeAndBackups are a store and a folder of its backups, on disks of their own.
func storeAndBackups(t *testing.T) (environ []string, store, backups string) {
	t.Helper()
	store, backups = filepath.Join(t.TempDir(), "bench.db"), t.TempDir()
	return []string{"HOLDBENCH_STORE_PATH=" + store, "HOLDBENCH_BACKUP_FOLDER=" + backups}, store, backups
}

func TestAStoreThatWentMissingIsFoundedOnlyWhenAskedTo(t *testing.T) {
	for scene, lose := range map[string]func(store, backups string) error{
		"deleted": func(store, _ string) error { return os.Remove(store) },
		"emptied": func(store, _ string) error { return os.Truncate(store, 0) },
		"its disk is not there": func(store, _ string) error {
			return errors.Join(os.Remove(store), os.Remove(store+".founded"))
		},
		"only a backup is left": func(store, backups string) error {
			return errors.Join(os.Remove(store), os.Remove(store+".founded"),
				os.Remove(filepath.Join(backups, "holdbench.founded")),
				os.WriteFile(filepath.Join(backups, "holdbench-2026-06-10.db"), nil, 0o600))
		},
	} {
		environ, store, backups := storeAndBackups(t)
		mustRun(t, environ, "", "import", "products", demoFile("products"))
		if err := lose(store, backups); err != nil {
			t.Fatal(err)
		}
		got := bot(t, environ, "/group gels\n")
		if exitCode(got.err) != exitUseless || !strings.Contains(got.err.Error(), "bot found") {
			t.Errorf("%s: started, %v", scene, got.err)
		}
		wants(t, bot(t, environ, "", "check").stdout, "WRONG Store: the store is missing")
		if info, err := os.Stat(store); err == nil && info.Size() > 0 || err != nil && !errors.Is(err, os.ErrNotExist) {
			t.Errorf("%s: there is a file: %v", scene, err)
		}
		wants(t, mustRun(t, environ, "", "found"), "Founded: an empty store at "+store)
		wants(t, mustRun(t, environ, "/group gels\n"), "Gels on the group's list: 0")
		if got := bot(t, environ, "", "found"); exitCode(got.err) != exitFailed ||
			!strings.Contains(got.err.Error(), "is there already") {
			t.Errorf("%s: founded twice, %v", scene, got.err)
		}
	}
}

func TestNothingIsConfirmedOnceTheStoreIsGoneAndHealthSaysSo(t *testing.T) {
	t.Parallel()
	srv, guild, ada, environ := platform(t)
	own, store, _ := storeAndBackups(t)
	for _, kind := range []string{"products", "instruments", "members"} {
		mustRun(t, own, "", "import", kind, demoFile(kind))
	}
	p := startProgram(t, append(append(environ, own...), toBeSeen))
	offered(t, srv, ada, guild)
	log := func(seconds string) string { // the same seconds twice would be asked about
		return srv.Command(ada, guild, "log", discordtest.Opt("product", "Orrick Mid"),
			discordtest.Opt("instrument", "27G 13 mm needle"), discordtest.Opt("seconds", seconds)).Message().Text()
	}
	wants(t, log("4.2"), "Logged as test 1")
	healthz := p.address(t) + "/healthz"
	if status, text := page(t, healthz); status != http.StatusOK {
		t.Fatalf("%d\n%s", status, text)
	}
	if err := os.Remove(store); err != nil {
		t.Fatal(err)
	}
	said := log("4.3")
	wants(t, said, "The log cannot be reached", "Whether what you sent was stored is not certain")
	if strings.Contains(said, "Logged") {
		t.Errorf("confirmed: %s", said)
	}
	if status, text := page(t, healthz); status != http.StatusServiceUnavailable ||
		!strings.Contains(text, "WRONG store") {
		t.Errorf("%d\n%s", status, text)
	}
	wants(t, p.terminate(t), "the store is no longer the file that was opened")
}

func TestWhatSomebodyMustPutRightEndsWithThree(t *testing.T) {
	for _, lasting := range []error{errMissing, knowledge.ErrReadOnly, knowledge.ErrNotLetIn, knowledge.ErrNoDatabase} {
		if got := exitCode(fmt.Errorf("open: %w", lasting)); got != exitUseless {
			t.Errorf("%v: exit code %d", lasting, got)
		}
	}
	for _, passing := range []error{knowledge.ErrUnreachable, knowledge.ErrBusy, knowledge.ErrFull} {
		if got := exitCode(passing); got != exitFailed {
			t.Errorf("%v: exit code %d", passing, got)
		}
	}
	for scene, got := range map[string]outcome{
		"a wrong setting":    bot(t, []string{"HOLDBENCH_HOLD_CEILING_S=never"}, ""),
		"an unknown setting": bot(t, []string{"HOLDBENCH_STOR_PATH=x"}, "", "ask", "x"),
		"no settings file":   bot(t, nil, "", "--config", "none.yaml", "ask", "x"),
	} {
		if exitCode(got.err) != exitUseless {
			t.Errorf("%s: exit code %d, %v", scene, exitCode(got.err), got.err)
		}
	}
}
