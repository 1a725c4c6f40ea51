package sharedlog

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"
	"syscall"
	"time"

	"holdbench/internal/jobs"
	"holdbench/internal/knowledge"
)

// folder is what parent and children share: the time, what each child has done, and the
// platform's messages.
type folder string

func (f folder) path(name string) string { return filepath.Join(string(f), name) }

// add appends lines to a file that many write to, all in one call.
func (f folder) add(name, format string, args ...any) error {
	file, err := os.OpenFile(f.path(name), os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(file, format+"\n", args...)
	return errors.Join(err, file.Close())
}

func (f folder) lines(name string) ([]string, error) {
	text, err := os.ReadFile(f.path(name))
	if err != nil && !os.IsNotExist(err) {
		return nil, err
	}
	return strings.Split(strings.TrimSuffix(string(text), "\n"), "\n"), nil
}

// setTime sets the time for all children.
func (f folder) setTime(now time.Time) error {
	if err := os.WriteFile(f.path("time.part"), []byte(now.Format(time.RFC3339)), 0o600); err != nil {
		return err
	}
	return os.Rename(f.path("time.part"), f.path("time"))
}

func (f folder) time() (time.Time, error) {
	text, err := os.ReadFile(f.path("time"))
	if err != nil {
		return time.Time{}, err
	}
	return time.Parse(time.RFC3339, string(text))
}

// platform stands in for a chat platform that all children post to: a file with one message a
// line. Like a real one it refuses a second message with the same nonce. It waits before and
// after a message, so that kills come during posting.
type platform struct {
	folder folder
	bot    int // who posts
}

const longestPost = 40 * time.Millisecond

func (p platform) Post(_ context.Context, post jobs.Post) (id string, err error) {
	if err := p.folder.add("calls", "%s %d", post.Key, post.Attempt); err != nil {
		return "", err
	}
	if err := p.folder.add("reached", "%s %d", post.Community, p.bot); err != nil {
		return "", err
	}
	time.Sleep(rand.N(longestPost))
	defer time.Sleep(rand.N(longestPost))
	lock, err := os.OpenFile(p.folder.path("lock"), os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return "", err
	}
	defer lock.Close() // lets go of the lock, as the end of the program does
	if err := syscall.Flock(int(lock.Fd()), syscall.LOCK_EX); err != nil {
		return "", err
	}
	there, err := p.folder.lines("messages")
	if err != nil {
		return "", err
	}
	for _, line := range there {
		if strings.HasPrefix(line, post.Key+" ") {
			return "message " + post.Key, nil
		}
	}
	to := "channel"
	if post.Member != "" {
		to = post.Member
	}
	now, err := p.folder.time()
	if err != nil {
		return "", err
	}
	return "message " + post.Key, p.folder.add("messages", "%s %s %s %s", post.Key, post.Community, to,
		now.Format(time.DateOnly))
}

// serves reports whether a bot has the shard of a community. A bot has its own shard and its
// neighbour's, as while a shard is handed over between processes. So each community has two
// bots that may post for it, and one that must not.
func serves(bot int, ref string) bool {
	shard := slices.Index(communities, ref) % bots
	return shard == bot || shard == (bot+1)%bots
}

// work is what a child does: at every new time it runs the jobs that are due, learns, and logs a
// test in each community. It ends when it is killed.
func work(ctx context.Context, number, address string, f folder) error {
	bot, err := strconv.Atoi(number)
	if err != nil {
		return err
	}
	now, err := f.time()
	if err != nil {
		return err
	}
	var shown atomic.Pointer[time.Time] // estimates are made beside the loop that sets it
	shown.Store(&now)
	clock := func() time.Time { return *shown.Load() }
	store, err := knowledge.Open(ctx, address, knowledge.WithClock(clock))
	if err != nil {
		return err
	}
	zone := time.UTC
	runner := &jobs.Runner{
		Store: store, Poster: platform{f, bot}, Now: clock, Serves: func(ref string) bool { return serves(bot, ref) },
		Log:     slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: slog.LevelError})),
		Nightly: &jobs.Nightly{Folder: f.path("backups"), Keep: 100, Hour: 0, Zone: zone},
	}
	for done := (time.Time{}); ; time.Sleep(time.Millisecond) {
		now, err := f.time()
		if err != nil {
			return err
		}
		shown.Store(&now)
		if now.Equal(done) {
			continue
		}
		runner.Tick(ctx)
		err = errors.Join(learn(ctx, store, f, number, now), logOne(ctx, store, f, number, now))
		if errors.Is(err, knowledge.ErrBusy) { // as the program does: it is told, and tried again
			fmt.Fprintln(os.Stderr, err)
			continue
		}
		if err != nil {
			return err
		}
		if err := f.add("done", "%s %d %s", number, os.Getpid(), now.Format(time.RFC3339)); err != nil {
			return err
		}
		done = now
	}
}

// learn learns the spread of every community for which that is due, and writes down what it
// learned.
func learn(ctx context.Context, store *knowledge.Store, f folder, number string, now time.Time) error {
	groups, err := store.Groups(ctx)
	if err != nil {
		return err
	}
	for _, g := range groups {
		o, err := g.LearnSpreads(ctx)
		if err != nil {
			return err
		}
		if !o.Looked {
			continue
		}
		if err := f.add("learned", "%s %s %d by %s", g.Ref(), now.Format(time.DateOnly), o.InForce.Version,
			number); err != nil {
			return err
		}
	}
	return nil
}

// logOne logs a test in every community and writes down each confirmation.
func logOne(ctx context.Context, store *knowledge.Store, f folder, number string, now time.Time) error {
	groups, err := store.Groups(ctx)
	if err != nil {
		return err
	}
	for _, g := range groups {
		test := tested(now.Format(time.DateOnly), 2+rand.Float64()*9)
		test.RequestKey = fmt.Sprintf("%s-%d-%d", number, os.Getpid(), now.Unix())
		logged, err := g.LogTest(ctx, test)
		if err != nil {
			return err
		}
		if _, err := g.Evidence(ctx, logged.Combination, 0); err != nil {
			return err
		}
		if err := f.add("confirmed", "%s %s %d", g.Ref(), test.RequestKey, logged.ID); err != nil {
			return err
		}
	}
	return nil
}
