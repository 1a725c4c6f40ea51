package main

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"holdbench/internal/discord/discordtest"
)

// atOnce is how many of the tests that may run beside others do: most of each is
// waiting.
const atOnce = "4"

// workshop is where the program is built; it goes when the tests have run.
var workshop string

// TestMain holds what the program asks of the platform's stand-in against the
// platform's published description.
func TestMain(m *testing.M) {
	flag.Parse()
	err := flag.Set("test.parallel", atOnce)
	if err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
	if workshop, err = os.MkdirTemp("", "holdbench-bot-"); err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
	code := discordtest.Main(m)
	os.RemoveAll(workshop)
	os.Exit(code)
}

// built is the program, built once for all tests that start it.
var built = sync.OnceValues(func() (string, error) {
	path := filepath.Join(workshop, "bot")
	out, err := exec.Command("go", "build", "-ldflags=-s -w", "-o", path, ".").CombinedOutput()
	if err != nil {
		return string(out), err
	}
	return path, nil
})

// program is where the built program is. Tests that are to be short are watched for races, and the program is not: it
// is started by the others.
func program(t *testing.T) string {
	t.Helper()
	if testing.Short() {
		t.Skip("starts the program, which is built without the race detector")
	}
	path, err := built()
	if err != nil {
		t.Fatalf("%v\n%s", err, path)
	}
	return path
}

// platform is a stand-in with a server and a member in it, and how the program is
// pointed at it.
func platform(t *testing.T) (srv *discordtest.Server, guild *discordtest.Guild, ada *discordtest.User,
	environ []string) {
	t.Helper()
	srv = discordtest.New(t, discordtest.Options{NoPings: true, IdentifySpacing: discordtest.Off})
	guild, ada = srv.AddGuild("Bench"), srv.User("ada")
	guild.Join(ada)
	return srv, guild, ada, []string{"HOLDBENCH_DISCORD_TOKEN=" + srv.Token(), "HOLDBENCH_DISCORD_API_BASE=" +
		srv.URL(), "HOLDBENCH_LOG_LEVEL=debug"}
}

// withOnly is this machine's environment with the settings given and no others:
// where the tests' own database is would be none that the program knows.
func withOnly(settings []string) []string {
	elsewhere := slices.DeleteFunc(os.Environ(), func(line string) bool { return strings.HasPrefix(line, "HOLDBENCH_") })
	return append(elsewhere, settings...)
}

// offered waits until the program has connected and registered its commands.
func offered(t *testing.T, srv *discordtest.Server, u *discordtest.User, g *discordtest.Guild) {
	t.Helper()
	srv.Ready()
	for end := time.Now().Add(30 * time.Second); !srv.Offered(u, g, "hold"); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("no commands are registered")
		}
	}
}

func TestProgramWithATokenJoinsDiscordWithTheDemo(t *testing.T) {
	t.Parallel()
	srv, guild, ada, environ := platform(t)
	p := startProgram(t, environ)
	offered(t, srv, ada, guild)
	wants(t, srv.Command(ada, guild, "hold", discordtest.Opt("text", "orrick mid 27g 13mm")).Message().Text(),
		"NO HOLD: of 7 tests at this pull 6 showed by 10 s", "outside a vessel")
	wants(t, srv.Mention(ada, guild, "orrick mid 27g 13mm").Message().Text(),
		"NO HOLD: of 7 tests at this pull 6 showed by 10 s")
	out := p.terminate(t)
	wants(t, out, "Holdbench joins Discord", "invented")
	if strings.Contains(out, srv.Token()) {
		t.Error("the token is in the log")
	}
	if c := srv.Gateway(); c.Open != 0 {
		t.Errorf("still connected: %+v", c)
	}
}

// A spreadsheet is tried against a stand-in from outside, by the address of its API alone.
func TestASpreadsheetIsFetchedFromTheStandIn(t *testing.T) {
	t.Parallel()
	srv, guild, _, environ := platform(t)
	p := startProgram(t, environ)
	offered(t, srv, guild.Owner, guild)
	data, err := os.ReadFile(filepath.Join("..", "..", "internal", "commands", "testsheet", "testdata", "sheets",
		"01-semicolons.csv"))
	if err != nil {
		t.Fatal(err)
	}
	m := srv.Command(guild.Owner, guild, "trainer import",
		discordtest.Opt("file", discordtest.File{Name: "ours.csv", Data: data})).Message()
	wants(t, m.Text(), "Nothing is stored yet.")
	wants(t, srv.Press(guild.Owner, m, "store 2").Message().Text(), "The spreadsheet is in the log") // its two rows
	p.terminate(t)
}

func TestLogBegunInTheRoomGoesOnInTheOnlyServer(t *testing.T) {
	t.Parallel()
	srv, guild, ada, environ := platform(t)
	store := "HOLDBENCH_STORE_PATH=" + filepath.Join(t.TempDir(), "our.db")
	for _, kind := range []string{"products", "instruments", "members", "tests"} {
		mustRun(t, []string{store}, "", "import", kind, demoFile(kind))
	}
	p := startProgram(t, append(environ, store))
	offered(t, srv, ada, guild)
	wants(t, srv.Command(ada, guild, "log", discordtest.Opt("product", "Orrick Mid"),
		discordtest.Opt("instrument", "27G 13 mm needle"), discordtest.Opt("seconds", "4.2")).Message().Text(),
		"Logged as test 145", "of 8 tests at this pull 7 showed")
	p.terminate(t)
	// And the room, and every file, are about the same log.
	wants(t, mustRun(t, []string{store}, "", "ask", "/record tests orrick mid 27g 13mm"), "11 tests by 7 members")
	wants(t, mustRun(t, []string{store}, "", "export", "tests"), ",ada,Orrick Mid,27G 13 mm needle,supplied,whole "+
		"milk,20,0.1,30,flashback,4.2,stopwatch,")
	// The next start is no first sight.
	p = startProgram(t, append(environ, store))
	offered(t, srv, ada, guild)
	wants(t, srv.Command(ada, guild, "record tests", discordtest.Opt("text", "orrick mid 27g 13mm")).Message().Text(),
		"11 tests by 7 members")
	p.terminate(t)
}

func TestProgramWithAWrongTokenEndsAtOnceAndInWords(t *testing.T) {
	t.Parallel()
	srv, _, _, environ := platform(t)
	p := startProgram(t, append(environ, "HOLDBENCH_DISCORD_TOKEN=wrong.token.secret"))
	err := p.end(t, 10*time.Second)
	if err == nil || p.cmd.ProcessState.ExitCode() != exitUseless {
		t.Errorf("ended with %v", err)
	}
	wants(t, p.out.String(), "Discord does not know the token", "starting again does not help")
	if strings.Contains(p.out.String(), "secret") || srv.Refused() > 1 {
		t.Errorf("%d refusals\n%s", srv.Refused(), p.out)
	}
}

func TestCheckSaysInWordsWhatIsRightAndWhatIsNot(t *testing.T) {
	t.Parallel()
	srv, guild, ada, environ := platform(t)
	before := startProgram(t, environ, "check")
	if before.end(t, 20*time.Second) == nil {
		t.Error("all is well before the bot was ever started")
	}
	wants(t, before.out.String(), "ok    Token: Discord knows it.", "WRONG Commands: not as declared", "are not right")
	p := startProgram(t, environ)
	offered(t, srv, ada, guild)
	after := startProgram(t, environ, "check")
	if err := after.end(t, 20*time.Second); err != nil {
		t.Errorf("%v\n%s", err, after.out)
	}
	wants(t, after.out.String(), "ok    Commands: all ", "ok    Servers: 1")
	p.terminate(t)
}

func TestRoomIsThereWithATokenToo(t *testing.T) {
	wants(t, mustRun(t, []string{"HOLDBENCH_DISCORD_TOKEN=x"}, "/group gels\n", "room"), "Gels on the group's list: 10")
}

func TestTheSecondProgramWithOneTokenOnOneFileEndsInWordsWithThree(t *testing.T) {
	t.Parallel()
	srv, guild, ada, environ := platform(t)
	own, store, _ := storeAndBackups(t)
	environ = append(environ, own...)
	first := startProgram(t, environ)
	offered(t, srv, ada, guild)
	link := filepath.Join(t.TempDir(), "link.db")
	if err := os.Symlink(store, link); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{store, link} {
		second := startProgram(t, append(environ, "HOLDBENCH_STORE_PATH="+path))
		err := second.end(t, 20*time.Second)
		var exit *exec.ExitError
		if !errors.As(err, &exit) || exit.ExitCode() != exitUseless {
			t.Errorf("%s: ended with %v", path, err)
		}
		wants(t, second.out.String(), "the bot of this token runs on this store already",
			fmt.Sprintf("process %d", first.cmd.Process.Pid))
		if strings.Contains(second.out.String(), "msg=connecting") {
			t.Errorf("%s: it has asked Discord", path)
		}
	}
	first.cmd.Process.Kill() // leaves no lock behind
	first.cmd.Wait()
	third := startProgram(t, environ)
	for end := time.Now().Add(20 * time.Second); !strings.Contains(third.out.String(),
		"msg=connected"); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("it does not connect")
		}
	}
	third.terminate(t)
}
