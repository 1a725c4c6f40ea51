// Package durability tests that nothing confirmed is lost: child processes are killed while
// they log, disks fill up, files are damaged. It has no code that ships.
package durability

import (
	"bufio"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"hash/fnv"
	"io"
	"log/slog"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	_ "github.com/mattn/go-sqlite3"

	"holdbench/internal/calc"
	"holdbench/internal/commands"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// A child is this test program, started again with these variables in its environment.
const (
	childVariable = "HOLDBENCH_TEST_CHILD" // what the child does
	storeVariable = "HOLDBENCH_TEST_STORE" // the file it works on
	seedVariable  = "HOLDBENCH_TEST_SEED"
)

func TestMain(m *testing.M) {
	var err error
	switch what := os.Getenv(childVariable); what {
	case "":
		os.Exit(m.Run())
	case "log":
		err = logForEver(context.Background(), os.Getenv(storeVariable), os.Getenv(seedVariable))
	case "hold":
		err = holdLock(context.Background(), os.Getenv(storeVariable))
	case "knock":
		err = logOnce(context.Background(), os.Getenv(storeVariable))
	case "weigh":
		err = weighSelf(context.Background(), os.Getenv(storeVariable), os.Getenv(seedVariable))
	default:
		err = fmt.Errorf("a child cannot %q", what)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "child:", err)
		os.Exit(1)
	}
}

// child is a started child and its output, line by line.
type child struct {
	cmd    *exec.Cmd
	lines  *bufio.Scanner
	in     io.WriteCloser // the child ends when this is closed
	stderr *strings.Builder
}

func startChild(t testing.TB, what, path, seed string) *child {
	t.Helper()
	c := &child{cmd: exec.Command(os.Args[0]), stderr: &strings.Builder{}}
	c.cmd.Env = append(os.Environ(), childVariable+"="+what, storeVariable+"="+path, seedVariable+"="+seed)
	c.cmd.Stderr = c.stderr
	out, err := c.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if c.in, err = c.cmd.StdinPipe(); err != nil {
		t.Fatal(err)
	}
	c.lines = bufio.NewScanner(out)
	if err := c.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(c.kill)
	return c
}

// kill ends the child as kill -9 does. A second call does nothing.
func (c *child) kill() {
	if c.cmd.ProcessState == nil {
		c.cmd.Process.Kill()
		c.cmd.Wait()
	}
}

// room is a store with one community in it, ready to answer requests.
type room struct {
	store *knowledge.Store
	env   *commands.Env
	log   *strings.Builder // what the program logged
}

const member = "osier"

var asker = commands.Asker{Ref: member, Name: member, Role: knowledge.TrainerRole, Belongs: true}

// enter opens the store at path and founds what it lacks.
func enter(ctx context.Context, path string) (*room, error) {
	store, err := knowledge.Open(ctx, path)
	if err != nil {
		return nil, err
	}
	r := &room{store: store, log: &strings.Builder{}}
	group, err := furnish(ctx, store)
	if err != nil {
		store.Close()
		return nil, err
	}
	r.env = &commands.Env{Group: group, Now: time.Now, Log: slog.New(slog.NewTextHandler(r.log, nil))}
	return r, nil
}

func (r *room) ask(ctx context.Context, req commands.Request) commands.Card {
	req.Asker = asker
	return commands.Answer(ctx, r.env, req)
}

// The lists of the community. There are so many gels that each has few tests, and estimates
// take little of the time.
const gels = 40

var needles = []string{"27G 13 mm needle", "30G 13 mm needle", "31G 8 mm needle"}

func gel(n int) string { return fmt.Sprintf("Gel %02d", n%gels) }

// furnish founds the community, or finishes that after a child was killed while it did so.
func furnish(ctx context.Context, store *knowledge.Store) (*knowledge.Group, error) {
	group, err := store.Group(ctx, "room")
	if err != nil {
		if group, err = store.Found(ctx, knowledge.NewCommunity{Ref: "room", Name: "Room"}); err != nil {
			return nil, err
		}
	}
	v, err := group.Vocabulary(ctx)
	if err != nil {
		return nil, err
	}
	for n := len(v.Products); n < gels; n++ {
		if _, err := group.AddProduct(ctx, trade.Product{Name: gel(n), Class: calc.MediumHA}); err != nil {
			return nil, err
		}
	}
	return group, nil
}

// logRequest logs a test with its own key and its own fraction of a second: a test with the
// seconds of another one of that day would be asked about.
func logRequest(gel, needle, seconds, key string) commands.Request {
	if seconds != "" {
		sum := fnv.New32a()
		sum.Write([]byte(key))
		seconds += fmt.Sprintf(".%04d", sum.Sum32()%10_000)
	}
	return commands.Request{Command: "log", Key: key, Values: map[string]string{
		"product": gel, "instrument": needle, "seconds": seconds, "timing": "video 30 fps", "note": "test " + key,
	}}
}

func question(gel, needle string) commands.Request {
	return commands.Request{Command: "hold", Text: gel + ", " + needle}
}

// raw opens the file without the program's code.
func raw(t testing.TB, path string) *sql.DB {
	t.Helper()
	db, err := sql.Open("sqlite3", "file:"+filepath.ToSlash(path)+"?_busy_timeout=5000")
	if err != nil {
		t.Fatal(err)
	}
	return db
}

func must[T any](v T, err error) func(testing.TB) T {
	return func(t testing.TB) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// logOnce logs one test and prints the answer.
func logOnce(ctx context.Context, path string) (err error) {
	r, err := enter(ctx, path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, r.store.Close()) }()
	card := r.ask(ctx, logRequest(gel(0), needles[0], "3", "knock"))
	if card.Failed {
		return errors.New(card.Text() + r.log.String())
	}
	fmt.Println(card.Verdict)
	return nil
}
