package durability

import (
	"context"
	"database/sql"
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

// How often a child is killed, and on how many files: a new file is killed while
// it is being made, too.
const (
	kills       = 200
	killsAFile  = 20
	hands       = 4
	withdrawals = 2 // of so many tests one is withdrawn

	latestAfterStart = 180 * time.Millisecond // starting takes about half of it
	latestAfterFirst = 100 * time.Millisecond // after the first confirmation
)

// logForEver logs tests as fast as it can, some of which it withdraws again, and
// prints each confirmation once it has it: "logged KEY NUMBER", "withdrawn
// NUMBER". It ends only when it is killed, or something goes wrong.
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
	card := r.ask(ctx, logRequest(gel(n*7+rand.IntN(gels)), needles[rand.IntN(len(needles))], strconv.Itoa(1+n%25), key))
	number, ok := strings.CutPrefix(strings.TrimSuffix(card.Verdict, "."), "Logged as test ")
	if !ok {
		return fmt.Errorf("not confirmed: %s\n%s", card.Text(), r.log)
	}
	say("logged %s %s", key, number)
	if n%withdrawals != withdrawals-1 {
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

// confirmed is what children said was stored.
type confirmed struct {
	tests     map[string]int64 // request key → number
	withdrawn map[int64]bool
}

// read takes a child's words until it has ended.
func (c *confirmed) read(t *testing.T, from *child, first func()) {
	t.Helper()
	for from.lines.Scan() {
		first()
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

// TestConfirmedTestsSurviveKills kills a child that logs as fast as it can, and
// looks after each kill whether everything it confirmed is there, once and whole.
// A kill ends the program and not the machine: that what is committed also
// survives a power cut is SQLite's promise for synchronous=FULL, which a test of
// the store sees to.
func TestConfirmedTestsSurviveKills(t *testing.T) {
	if testing.Short() {
		t.Skip("under the race detector a child is killed before it has confirmed much: nothing would be proved")
	}
	rng := rand.New(rand.NewPCG(uint64(time.Now().UnixNano()), 1))
	total, withdrawn, whileOpening := 0, 0, 0
	for file := range kills / killsAFile {
		path := filepath.Join(t.TempDir(), "bench.db")
		all := &confirmed{tests: map[string]int64{}, withdrawn: map[int64]bool{}}
		for round := range killsAFile {
			before := len(all.tests)
			killOne(t, rng, path, fmt.Sprintf("%d-%d", file, round), round%2 == 0, all)
			if len(all.tests) == before {
				whileOpening++
			}
			inspect(t, path, all)
			if t.Failed() {
				t.Fatalf("file %d, kill %d", file, round)
			}
		}
		total, withdrawn = total+len(all.tests), withdrawn+len(all.withdrawn)
	}
	t.Logf("%d kills, %d of them before anything was confirmed; %d tests and %d withdrawals confirmed", kills, whileOpening, total, withdrawn)
	if total < kills/2 || withdrawn == 0 {
		t.Errorf("only %d tests and %d withdrawals were confirmed: nothing is proved", total, withdrawn)
	}
}

// killOne starts a child and kills it at a random moment: after its start, so
// that opening is hit as well, or after its first confirmation.
func killOne(t *testing.T, rng *rand.Rand, path, seed string, afterStart bool, all *confirmed) {
	t.Helper()
	c := startChild(t, "log", path, seed)
	latest := latestAfterFirst
	if afterStart {
		latest = latestAfterStart
	}
	wait := time.Duration(rng.Int64N(int64(latest)))
	var once sync.Once
	killer := func() { once.Do(func() { time.AfterFunc(wait, func() { c.cmd.Process.Kill() }) }) }
	if afterStart {
		killer()
	}
	all.read(t, c, killer)
	err := c.cmd.Wait()
	if c.stderr.Len() > 0 {
		t.Fatalf("the child ended by itself, %v: %s", err, c.stderr)
	}
}

// inspect opens the store as the program does after a kill and holds it against
// what was confirmed.
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
	if want := fmt.Sprintf("Logged as test %d.", all.tests[last]); card.Verdict != want {
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
