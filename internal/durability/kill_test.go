package durability

import (
	"context"
	"database/sql"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

// How often a child is killed, and on how many files. With several files some kills come while
// a file is being made.
const (
	kills       = 40
	killsLong   = 600 // each night, to meet the rarer moments
	killsAFile  = 10
	hands       = 4
	withdrawals = 2 // of so many tests one is withdrawn

	mostConfirmed = 8 // before a child is killed
)

var long = flag.Bool("long", false, "kill children more often; takes minutes")

// logForEver logs tests as fast as it can, withdraws some of them, and prints each
// confirmation: "logged KEY NUMBER", "withdrawn NUMBER". It ends only when it is killed or
// something goes wrong.
func logForEver(ctx context.Context, path, seed string) error {
	r, err := enter(ctx, path)
	if err != nil {
		return err
	}
	failed := make(chan error, hands)
	for hand := range hands {
		go func() {
			for n := 0; ; n++ {
				if err := logOne(ctx, r, fmt.Sprintf("%s-%d-%d", seed, hand, n), n); err != nil {
					failed <- err
					return
				}
			}
		}()
	}
	return <-failed
}

func logOne(ctx context.Context, r *room, key string, n int) error {
	card := r.ask(ctx, logRequest(gel(n*7+rand.IntN(gels)), needles[rand.IntN(len(needles))], strconv.Itoa(1+n%25),
		key))
	verdict, _, _ := strings.Cut(card.Verdict, ":")
	number, ok := strings.CutPrefix(verdict, "Logged as test ")
	if !ok {
		return fmt.Errorf("not confirmed: %s\n%s", card.Text(), r.log)
	}
	say("logged %s %s", key, number)
	if n%withdrawals != 0 {
		return nil
	}
	request := logRequest("", "", "", "")
	request.Command, request.Values = "record withdraw", map[string]string{"test": number, "reason": "a slip"}
	if card := r.ask(ctx, request); !strings.Contains(card.Verdict, "no longer counts") {
		return fmt.Errorf("not withdrawn: %s\n%s", card.Text(), r.log)
	}
	say("withdrawn %s", number)
	return nil
}

// say writes a line in one call, so that a kill cannot cut it in two.
func say(format string, args ...any) {
	sayLock.Lock()
	defer sayLock.Unlock()
	fmt.Fprintf(os.Stdout, format+"\n", args...)
}

var sayLock sync.Mutex

// confirmed is what children printed as stored.
type confirmed struct {
	tests     map[string]int64 // request key → number
	withdrawn map[int64]bool
}

// read reads a child's output until the child ends, and calls told for each confirmation.
func (c *confirmed) read(t *testing.T, from *child, told func()) {
	t.Helper()
	for from.lines.Scan() {
		told()
		words := strings.Fields(from.lines.Text())
		number, err := strconv.ParseInt(words[len(words)-1], 10, 64)
		if err != nil {
			t.Fatalf("the child said %q", from.lines.Text())
		}
		if words[0] == "logged" {
			c.tests[words[1]] = number
		} else {
			c.withdrawn[number] = true
		}
	}
}

// TestConfirmedTestsSurviveKills kills a child that logs as fast as it can, and checks after
// each kill that everything it confirmed is there, once and whole. A kill ends the program and
// not the machine. That a commit also survives a power cut is SQLite's promise for
// synchronous=FULL, which a test of the store checks.
func TestConfirmedTestsSurviveKills(t *testing.T) {
	if testing.Short() {
		t.Skip("under the race detector a child is killed before it has confirmed much: nothing would be proved")
	}
	t.Parallel()
	many := kills
	if *long {
		many = killsLong
	}
	var mu sync.Mutex
	total, withdrawn, whileOpening := 0, 0, 0
	t.Run("files", func(t *testing.T) {
		for file := range many / killsAFile {
			t.Run(strconv.Itoa(file), func(t *testing.T) {
				t.Parallel()
				all, opening := killOften(t, file)
				mu.Lock()
				defer mu.Unlock()
				total, withdrawn, whileOpening = total+len(all.tests), withdrawn+len(all.withdrawn),
					whileOpening+opening
			})
		}
	})
	t.Logf("%d kills, %d of them before anything was confirmed; %d tests and %d withdrawals confirmed", many,
		whileOpening, total, withdrawn)
	if total < many || withdrawn == 0 || whileOpening == 0 {
		t.Errorf("%d tests and %d withdrawals were confirmed, %d kills met a start: nothing is proved", total,
			withdrawn, whileOpening)
	}
}

// killOften kills children on one file. Every second child is killed while it starts, at a
// moment within the time that the first one took to start; the others are killed after some
// confirmations.
func killOften(t *testing.T, file int) (all *confirmed, whileOpening int) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "bench.db")
	all = &confirmed{tests: map[string]int64{}, withdrawn: map[int64]bool{}}
	var start time.Duration
	for round := range killsAFile {
		before := len(all.tests)
		seed := fmt.Sprintf("%d-%d", file, round)
		if round == 0 {
			start = killOne(t, path, seed, 0, 1+rand.IntN(mostConfirmed), all)
		} else if round%2 == 0 {
			killOne(t, path, seed, rand.N(start*5/4), 0, all) // at times just after it
		} else {
			killOne(t, path, seed, 0, 1+rand.IntN(mostConfirmed), all)
		}
		if len(all.tests) == before {
			whileOpening++
		}
		inspect(t, path, all)
		if t.Failed() {
			t.Fatalf("file %d, kill %d", file, round)
		}
	}
	return all, whileOpening
}

// killOne starts a child and kills it some time after its start, or if that is 0 after so many
// confirmations. It returns how long the first confirmation took.
func killOne(t *testing.T, path, seed string, after time.Duration, enough int, all *confirmed) (start time.Duration) {
	t.Helper()
	began := time.Now()
	c := startChild(t, "log", path, seed)
	if after > 0 {
		defer time.AfterFunc(after, func() { c.cmd.Process.Kill() }).Stop()
	}
	n := 0
	all.read(t, c, func() {
		if n++; n == 1 {
			start = time.Since(began)
		}
		if n == enough {
			c.cmd.Process.Kill()
		}
	})
	err := c.cmd.Wait()
	if c.stderr.Len() > 0 {
		t.Fatalf("the child ended by itself, %v: %s", err, c.stderr)
	}
	return start
}

// inspect opens the store as the program does after a kill and compares it with what was
// confirmed.
func inspect(t *testing.T, path string, all *confirmed) {
	t.Helper()
	r := must(enter(t.Context(), path))(t)
	defer r.store.Close()
	db := raw(t, path)
	defer db.Close()
	wholesome(t, db)
	stored := numbersByKey(t, db)
	var last string
	for key, number := range all.tests {
		last = key
		if got := stored[key]; len(got) != 1 || got[0] != number {
			t.Errorf("test %s was confirmed as %d and is there as %v", key, number, got)
		}
	}
	for number := range all.withdrawn {
		var state string
		if err := db.QueryRow(`SELECT state FROM tests WHERE number = ?`, number).Scan(&state); err != nil || state != "withdrawn" {
			t.Errorf("test %d was confirmed as withdrawn and is %q, %v", number, state, err)
		}
	}
	if last == "" {
		return
	}
	// Sent again, as by a platform that saw no answer, it is the same test.
	card := r.ask(t.Context(), logRequest(gel(1), needles[0], "3", last))
	if want := fmt.Sprintf("Logged as test %d: ", all.tests[last]); !strings.HasPrefix(card.Verdict, want) {
		t.Errorf("sent again: %q, want %q", card.Verdict, want)
	}
	if n := len(numbersByKey(t, db)); n != len(stored) {
		t.Errorf("sent again: %d tests, were %d", n, len(stored))
	}
}

func numbersByKey(t testing.TB, db *sql.DB) map[string][]int64 {
	t.Helper()
	rows := must(db.Query(`SELECT request_key, number FROM tests`))(t)
	defer rows.Close()
	found := map[string][]int64{}
	for rows.Next() {
		var key string
		var id int64
		if err := rows.Scan(&key, &id); err != nil {
			t.Fatal(err)
		}
		found[key] = append(found[key], id)
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
	return found
}
