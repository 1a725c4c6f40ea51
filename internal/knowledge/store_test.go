package knowledge

import (
	"database/sql"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

func TestTheReadingPoolCannotWrite(t *testing.T) {
	t.Parallel()
	s := openStore(t)
	_, err := s.look().Exec(t.Context(), `DELETE FROM communities`)
	if err == nil {
		t.Error("a write went through the reading pool")
	}
}

func TestEveryTableIsStrict(t *testing.T) {
	t.Parallel()
	s := openFile(t)
	loose, err := database.Collect(t.Context(), s.look(), database.Column[string], `
		SELECT name FROM pragma_table_list
		WHERE type = 'table' AND strict = 0 AND name NOT LIKE 'sqlite_%'`)
	if err != nil || len(loose) > 0 {
		t.Errorf("not STRICT: %v, %v", loose, err)
	}
}

func TestAStoreIsThereWhenItIsOpenedAgain(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "a name with ? and # and 100%.db")
	s := must(Open(t.Context(), path, WithClock(stoppedClock)))(t)
	small(t, s, "local")
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if info := must(os.Stat(path))(t); info.Mode().Perm() != 0o600 {
		t.Errorf("others may read the file: %v", info.Mode())
	}
	g := must(openAddress(t, path).Group(t.Context(), "local"))(t)
	if p := must(g.Product(t.Context(), "O MID"))(t); p.Name != "Orrick Mid" {
		t.Errorf("got %+v", p)
	}
}

func TestANewerStoreIsRefused(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "bench.db")
	s := must(Open(t.Context(), path))(t)
	_, err := unchecked(s).Exec(t.Context(), `PRAGMA user_version = 999`)
	if err := errors.Join(err, s.Close()); err != nil {
		t.Fatal(err)
	}
	_, err = Open(t.Context(), path)
	if !errors.Is(err, ErrNewerStore) || !strings.Contains(err.Error(), "999") {
		t.Errorf("got %v", err)
	}
}

func TestWhatIsNoStoreIsRefusedAndLeftAlone(t *testing.T) {
	t.Parallel()
	foreign := filepath.Join(t.TempDir(), "foreign.db")
	db := must(sql.Open("sqlite3", foreign))(t)
	_, err := db.ExecContext(t.Context(), `CREATE TABLE recipes (id INTEGER)`)
	if err := errors.Join(err, db.Close()); err != nil {
		t.Fatal(err)
	}
	text := filepath.Join(t.TempDir(), "notes.txt")
	damaged := filepath.Join(t.TempDir(), "damaged.db")
	for path, content := range map[string]string{
		text:    "milk, gloves, needles; longer than sixteen characters",
		damaged: "SQLite format 3\x00" + strings.Repeat("no page of a database ", 200),
	} {
		if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, path := range []string{foreign, text, damaged} {
		before := must(os.ReadFile(path))(t)
		if _, err := Open(t.Context(), path); !errors.Is(err, ErrNotAStore) {
			t.Errorf("%s: got %v", filepath.Base(path), err)
		}
		if string(before) != string(must(os.ReadFile(path))(t)) {
			t.Errorf("%s was changed", filepath.Base(path))
		}
	}
}

func TestPathsThatCannotBeAreRefused(t *testing.T) {
	t.Parallel()
	for _, path := range []string{"", t.TempDir(), filepath.Join(t.TempDir(), "no", "such", "folder", "bench.db")} {
		if _, err := Open(t.Context(), path); err == nil {
			t.Errorf("%q was opened", path)
		}
	}
}

func TestAFailedTransactionLeavesNothingBehind(t *testing.T) {
	t.Parallel()
	s := openStore(t)
	g := small(t, s, "local")
	stop := errors.New("stop")
	err := s.inTx(t.Context(), func(q querier) error {
		if _, err := g.addProduct(t.Context(), q, trade.Product{Name: "Half Way"}); err != nil {
			return err
		}
		if v := must(g.vocabulary(t.Context(), q))(t); len(v.Products) != 2 {
			t.Errorf("the transaction does not see its own product: %v", v.Products)
		}
		return stop
	})
	if !errors.Is(err, stop) {
		t.Fatal(err)
	}
	if _, err := g.Product(t.Context(), "Half Way"); !errors.Is(err, ErrNotFound) {
		t.Errorf("got %v", err)
	}
}

func TestAHandleThatOutlivesItsCommunityFindsNothing(t *testing.T) {
	t.Parallel()
	s := openStore(t)
	old := small(t, s, "old")
	must(old.LogTest(t.Context(), shown(2)))(t)
	if err := s.inTx(t.Context(), func(q querier) error {
		for _, table := range append(erasedTables[:], "communities") {
			column := "community_id"
			if table == "communities" {
				column = "id"
			}
			if _, err := q.Exec(t.Context(), `DELETE FROM `+table+` WHERE `+column+` = ?`, old.id); err != nil {
				return err
			}
		}
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	small(t, s, "new")
	if _, err := old.Settings(t.Context()); !errors.Is(err, ErrNotFound) {
		t.Errorf("settings: %v", err)
	}
	if e, err := old.Evidence(t.Context(), orrickOn27(), 0); !errors.Is(err, ErrNotFound) {
		t.Errorf("evidence: %+v, %v", e, err)
	}
	if members, err := old.Members(t.Context()); err != nil || len(members) != 0 {
		t.Errorf("members: %v, %v", members, err)
	}
}
