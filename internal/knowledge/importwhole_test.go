package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"holdbench/internal/database"
	"holdbench/internal/sheet"
	"holdbench/internal/trade"
)

// interrupted reads a file, and calls at before a row of the second reading.
type interrupted struct {
	Rows
	row int
	at  func() error
}

func (r *interrupted) Next() (sheet.Row, error) {
	if r.row--; r.row == 0 {
		if err := r.at(); err != nil {
			return sheet.Row{}, err
		}
	}
	return r.Rows.Next()
}

// inParts has the store take files of tests in smaller parts.
func inParts(s *Store) *Store {
	s.atOnce = ofLong(500, testsAtOnce)
	return s
}

// twoParts is how many tests take two parts.
func twoParts(g *Group) int { return g.store.atOnce + g.store.atOnce/10 }

// interrupt imports a file of two parts and calls at in the second.
func interrupt(ctx context.Context, g *Group, at func() error) (ImportReport, error) {
	open, readings := RowsOf(longFile(twoParts(g), 2)), 0
	return g.Import(ctx, TestFile, func() (Rows, error) {
		rows, err := open()
		if readings++; readings == 2 {
			rows = &interrupted{rows, g.store.atOnce + g.store.atOnce/20, at}
		}
		return rows, err
	}, Importing{Unestimated: true})
}

// logRows is all that the store has of a community's tests, but for counts that are 0.
func logRows(t testing.TB, g *Group) []string {
	t.Helper()
	var all []string
	for _, query := range []string{
		`SELECT * FROM tests WHERE community_id = ? ORDER BY id`,
		`SELECT * FROM test_changes WHERE community_id = ? ORDER BY id`,
		`SELECT * FROM test_checks WHERE community_id = ? ORDER BY id`,
		`SELECT * FROM merged_tests WHERE community_id = ? ORDER BY test_id`,
		`SELECT * FROM tested_combinations WHERE community_id = ? AND kept_tests > 0 ORDER BY 2, 3, 4`,
		`SELECT id, kept_tests FROM products WHERE community_id = ? ORDER BY id`,
	} {
		all = append(all, must(database.Collect(t.Context(), g.store.look(), func(rows *sql.Rows, s *string) error {
			columns, err := rows.Columns()
			cells := make([]any, len(columns))
			for i := range cells {
				cells[i] = new(any)
			}
			if err := errors.Join(err, rows.Scan(cells...)); err != nil {
				return err
			}
			for _, c := range cells {
				*s += fmt.Sprint(*c.(*any), "|")
			}
			return nil
		}, query, g.id))(t)...)
	}
	return all
}

func sameLog(t testing.TB, before, after []string) {
	t.Helper()
	if slices.Equal(before, after) {
		return
	}
	t.Errorf("%d rows before, %d after", len(before), len(after))
	for i := range min(len(before), len(after), 5) {
		t.Logf("%s\n%s", before[i], after[i])
	}
}

// ofLarge is a test of a gel of large that somebody logs.
func ofLarge(seconds float64) BenchTest {
	b := shown(seconds)
	b.Tester, b.Combination.Product.Name = Member{Ref: "tester 1"}, "Gel 1"
	return b
}

var errPulled = errors.New("the stick was pulled out")

// After a fault in the second part the log is row for row as before, whatever was done to the
// tests of the first meanwhile; what somebody logged meanwhile stays under its number.
func TestAFaultBetweenPartsLeavesNothingOfAFile(t *testing.T) {
	ctx := t.Context()
	g := large(t, inParts(openStore(t)), 2)
	trainer := must(g.Admit(ctx, Member{Ref: "lantern", Role: TrainerRole}))(t)
	must(g.LogTest(ctx, ofLarge(3)))(t)
	before := logRows(t, g)
	var meanwhile BenchTest
	_, err := interrupt(ctx, g, func() error {
		if n := len(logRows(t, g)) - len(before); n < g.store.atOnce {
			t.Errorf("%d rows more while the second part is read", n)
		}
		must(g.WithdrawTest(ctx, 10, trainer, "spilt"))(t)
		must(g.CheckTest(ctx, 11, trainer))(t)
		if _, err := g.Import(ctx, TestFile, RowsOf(longFile(3, 2)), Importing{}); !errors.Is(err, ErrImporting) {
			t.Errorf("another file meanwhile: %v", err)
		}
		meanwhile = must(g.LogTest(ctx, ofLarge(5)))(t)
		return errPulled
	})
	if !errors.Is(err, errPulled) || !strings.Contains(err.Error(), "no test of the file is stored") {
		t.Errorf("told %v", err)
	}
	if want := int64(g.store.atOnce + 2); meanwhile.ID != want {
		t.Errorf("logged meanwhile as %d, want %d", meanwhile.ID, want)
	}
	kept := must(g.Tests(ctx, TestFilter{IDs: []int64{meanwhile.ID}}))(t)
	if len(kept) != 1 || kept[0].Seconds != 5 {
		t.Errorf("logged meanwhile: %+v", kept)
	}
	if e, err := g.Evidence(ctx, kept[0].Combination, 0); err != nil || e.Counts.Run != 2 {
		t.Errorf("%d tests counted, want 2: %v", e.Counts.Run, err)
	}
	must(unchecked(g.store.Store).Exec(ctx, `DELETE FROM slips`))(t)
	must(unchecked(g.store.Store).Exec(ctx, `DELETE FROM tests WHERE number = ?`, meanwhile.ID))(t)
	must(unchecked(g.store.Store).Exec(ctx, `UPDATE tested_combinations SET kept_tests = 1 WHERE kept_tests = 2`))(t)
	must(unchecked(g.store.Store).Exec(ctx, `UPDATE products SET kept_tests = 1 WHERE kept_tests = 2`))(t)
	sameLog(t, before, logRows(t, g))
	// A number is not given twice, and the same file comes in whole.
	if again := must(g.LogTest(ctx, ofLarge(7)))(t); again.ID <= int64(g.store.atOnce) {
		t.Errorf("a number of the file was given again: %d", again.ID)
	}
	if r, err := g.Import(ctx, TestFile, RowsOf(longFile(twoParts(g), 2)), Importing{Unestimated: true}); err != nil || r.Added != twoParts(g) {
		t.Errorf("again: %+v, %v", r, err)
	}
}

// A test of an unfinished file that somebody corrected stays with its correction, and the
// file brings it no second time.
func TestACorrectedTestOfAFailedFileStays(t *testing.T) {
	ctx := t.Context()
	g := large(t, inParts(openStore(t)), 2)
	trainer := must(g.Admit(ctx, Member{Ref: "lantern", Role: TrainerRole}))(t)
	misread := int64(g.store.atOnce) * 2 / 5
	if _, err := interrupt(ctx, g, func() error {
		must(g.CorrectTest(ctx, misread, ofLarge(5), trainer, "misread"))(t)
		return errPulled
	}); !errors.Is(err, errPulled) {
		t.Fatal(err)
	}
	left := must(g.Tests(ctx, TestFilter{}))(t)
	if len(left) != 2 || left[0].ID+left[1].ID != misread+int64(g.store.atOnce)+1 {
		t.Errorf("%d left: %+v", len(left), left)
	}
	if r, err := g.Import(ctx, TestFile, RowsOf(longFile(twoParts(g), 2)), Importing{Unestimated: true}); err != nil || r.Added != twoParts(g)-1 || r.Already != 1 {
		t.Errorf("again: %+v, %v", r, err)
	}
}

// A program that is killed between two parts leaves them to the next that opens the store:
// once a minute has gone by, for another program could be at work.
func TestAKilledImportIsTakenAway(t *testing.T) {
	for _, openAgain := range []bool{true, false} {
		t.Run(fmt.Sprintf("opened again %t", openAgain), func(t *testing.T) { killedImport(t, openAgain) })
	}
}

// killedImport has a file taken away at the next opening, or by a program that goes on.
func killedImport(t *testing.T, openAgain bool) {
	ctx := t.Context()
	address := at(t, filepath.Join(t.TempDir(), "bench.db"))
	now := stopped
	clock := WithClock(func() time.Time { return now })
	s := must(Open(ctx, address, clock))(t)
	g := large(t, inParts(s), 2)
	must(g.LogTest(ctx, ofLarge(3)))(t)
	before := logRows(t, g)
	if _, err := interrupt(ctx, g, s.Close); err == nil ||
		!strings.Contains(err.Error(), "when the store is next opened") {
		t.Fatalf("told %v", err)
	}
	reopen := func() *Group {
		s = inParts(must(Open(ctx, address, clock))(t))
		t.Cleanup(func() { _ = s.Close() })
		return must(s.Group(ctx, "large"))(t)
	}
	now = now.Add(importLease / 2)
	g = reopen()
	if n := len(logRows(t, g)) - len(before); n < g.store.atOnce {
		t.Errorf("%d rows more within the minute", n)
	}
	if _, err := g.Import(ctx, TestFile, RowsOf(longFile(3, 2)), Importing{}); !errors.Is(err, ErrImporting) {
		t.Errorf("another file within the minute: %v", err)
	}
	now = now.Add(importLease)
	if openAgain {
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		g = reopen()
	} else if err := s.EndImports(ctx); err != nil {
		t.Fatal(err)
	}
	sameLog(t, before, logRows(t, g))
}

// What a file says of a test that is there is written when the file is whole.
func TestDetailsComeWithTheLastPart(t *testing.T) {
	ctx := t.Context()
	g := large(t, inParts(openStore(t)), 2)
	first := func(extra string) string {
		return "2026-11-19,tester 0,Gel 0,27G 13 mm needle,supplied,whole milk,21,0.1,60,flashback,4.00,video 30 fps," + extra
	}
	if r := importText(t, g, "tests", false, testHead, first("first")); r.Added != 1 {
		t.Fatalf("%+v", r)
	}
	lines := []string{testHead + ",lot,expires", first("first") + ",a12,03/2027"}
	for i := range twoParts(g) {
		lines = append(lines, first(fmt.Sprint(i))+",,")
	}
	lot := func() trade.Lot { return must(g.Tests(ctx, TestFilter{IDs: []int64{1}}))(t)[0].Lot }
	open, readings := RowsOf(strings.NewReader(strings.Join(lines, "\n"))), 0
	fails := true
	source := func() (Rows, error) {
		rows, err := open()
		if readings++; readings%2 == 0 {
			rows = &interrupted{rows, g.store.atOnce + g.store.atOnce/20, func() error {
				if lot() != (trade.Lot{}) {
					t.Error("the lot is there before the file is whole")
				}
				if fails {
					return errPulled
				}
				return nil
			}}
		}
		return rows, err
	}
	how := Importing{Unestimated: true}
	if _, err := g.Import(ctx, TestFile, source, how); !errors.Is(err, errPulled) || lot() != (trade.Lot{}) {
		t.Errorf("%v, %v", err, lot())
	}
	fails = false
	if r, err := g.Import(ctx, TestFile, source, how); err != nil || r.Added != twoParts(g) || r.Changed != 1 || lot().Number == "" {
		t.Errorf("%+v, %v, %v", r, err, lot())
	}
}
