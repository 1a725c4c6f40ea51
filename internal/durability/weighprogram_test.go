package durability

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"holdbench/internal/discord/discordtest"
)

// weighProgram starts the program on the large store, on a platform with a server for each
// community, asks in every one of them and returns what that took.
func weighProgram(t *testing.T, path string) (w weighed) {
	t.Helper()
	srv := discordtest.New(t, discordtest.Options{NoPings: true, IdentifySpacing: discordtest.Off,
		GlobalLimit: discordtest.Off, RouteLimit: 1_000_000})
	ada := srv.User(member)
	guilds := make([]*discordtest.Guild, communities)
	for n := range guilds {
		guilds[n] = srv.AddGuild("Circle")
		guilds[n].Join(ada)
	}
	moveTo(t, path, guilds)
	program := built(t)
	first := startProgram(t, srv, program, path)
	srv.Ready()
	// registered once; a start finds them
	waitFor(t, 30*time.Second, "commands", func() bool { return srv.Offered(ada, guilds[0], "hold") })
	end(t, first)

	began := time.Now()
	second := startProgram(t, srv, program, path)
	srv.Ready()
	hold(t, srv, ada, guilds[0], 0)
	w.start = time.Since(began)
	began = time.Now()
	for n, guild := range guilds {
		for g := range askedGels {
			hold(t, srv, ada, guild, askedGel(n, g))
		}
		if len(srv.Autocomplete(ada, guild, "hold", "product", "ald").Choices()) == 0 {
			t.Fatal("nothing was suggested")
		}
	}
	w.cold = time.Since(began) / time.Duration(askedGels*len(guilds))
	took := make([]time.Duration, warmAsked/10)
	for i := range took {
		took[i] = hold(t, srv, ada, guilds[communities/2], askedGel(communities/2, i%askedGels))
	}
	slices.Sort(took)
	w.warm = took[len(took)/2]
	w.memory, w.peak = resident(t, second.Process.Pid)
	end(t, second)
	return w
}

// built is the program, built for this test.
func built(t *testing.T) string {
	t.Helper()
	program := filepath.Join(t.TempDir(), "bot")
	if out, err := exec.Command("go", "build", "-o", program, "holdbench/cmd/bot").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return program
}

// moveTo gives the communities the ids of the guilds.
func moveTo(t *testing.T, path string, guilds []*discordtest.Guild) {
	t.Helper()
	db := raw(t, path)
	defer db.Close()
	tx := must(db.Begin())(t)
	defer tx.Rollback()
	for n, guild := range guilds {
		must(tx.Exec(`UPDATE communities SET ref = ? WHERE ref = ?`, guild.ID, ref(n)))(t)
	}
	if err := tx.Commit(); err != nil {
		t.Fatal(err)
	}
}

// hold asks about one gel and returns how long the answer took, through the stand-in.
func hold(t *testing.T, srv *discordtest.Server, u *discordtest.User, guild *discordtest.Guild, gel int) time.Duration {
	t.Helper()
	began := time.Now()
	text := srv.Command(u, guild, "hold", discordtest.Opt("text", bigGel(gel)+" "+needles[0])).Message().Text()
	took := time.Since(began)
	if !strings.Contains(text, "by 1 member") || !strings.Contains(text, "of 4 shown") {
		t.Fatalf("no answer from the log:\n%s", text)
	}
	return took
}

func startProgram(t *testing.T, srv *discordtest.Server, program, path string) *exec.Cmd {
	t.Helper()
	cmd := exec.Command(program)
	cmd.Env = append(os.Environ(), "HOLDBENCH_DISCORD_TOKEN="+srv.Token(), "HOLDBENCH_DISCORD_API_BASE="+srv.URL(),
		"HOLDBENCH_STORE_PATH="+path)
	cmd.Stderr = os.Stderr
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if cmd.ProcessState == nil {
			cmd.Process.Kill()
			cmd.Wait()
		}
	})
	return cmd
}

// end ends the program as a supervisor does.
func end(t *testing.T, cmd *exec.Cmd) {
	t.Helper()
	if err := cmd.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	if err := cmd.Wait(); err != nil {
		t.Errorf("ended with %v", err)
	}
}

func waitFor(t *testing.T, limit time.Duration, what string, is func() bool) {
	t.Helper()
	for end := time.Now().Add(limit); !is(); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("no %s within %s", what, limit)
		}
	}
}
