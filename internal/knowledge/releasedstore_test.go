package knowledge

import (
	"database/sql"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"holdbench/internal/database/databasetest"
)

// releasedStore makes the store that the released program left, which counted its
// migrations itself: two communities, "circle" and "other", each with four tests of
// which the second is withdrawn, founded after a third that was erased. The files
// are what sqlite3 .dump and pg_dump --inserts wrote of it.
func releasedStore(t *testing.T) (address string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "bench.db")
	driver, source, file := "sqlite3", "file:"+path, "version7.sqlite.sql"
	address = path
	if databasetest.OnPostgres() {
		address = databasetest.For(t, path, "template0")
		driver, source, file = "pgx", address, "version7.postgres.sql"
	}
	db := must(sql.Open(driver, source))(t)
	defer db.Close()
	if _, err := db.ExecContext(t.Context(), string(must(os.ReadFile(filepath.Join("testdata", "stores",
		file)))(t))); err != nil {
		t.Fatal(err)
	}
	return address
}

func TestAStoreOfTheReleasedProgramGoesOn(t *testing.T) {
	t.Parallel()
	ctx, address := t.Context(), releasedStore(t)
	s := openAddress(t, address)
	before := rowsOf(t, s)
	if len(before["communities"]) != 2 || len(before["tests"]) != 8 || len(before["test_changes"]) != 2 ||
		len(before["estimates"]) != 2 {
		t.Fatalf("what was in it is not there: %v", before["communities"])
	}
	for ref, community := range map[string]int64{"circle": 2, "other": 3} {
		g := must(s.Group(ctx, ref))(t)
		if g.id != community {
			t.Errorf("%s has number %d, want %d", ref, g.id, community)
		}
		tests := must(g.Tests(ctx, TestFilter{}))(t)
		slices.SortFunc(tests, func(a, b BenchTest) int { return int(a.ID - b.ID) })
		var seconds []float64
		for _, test := range tests {
			seconds = append(seconds, test.Seconds)
		}
		if !slices.Equal(seconds, []float64{2, 2.5, 3, 0}) || tests[3].Note != "the gel's tip was dry; pulled once" {
			t.Errorf("%s has tests of %v s, %+v", ref, seconds, tests[3])
		}
		if logged := must(g.LogTest(ctx, shown(4)))(t); logged.ID != 5 {
			t.Errorf("%s goes on with number %d, want 5", ref, logged.ID)
		}
		e := must(g.Evidence(ctx, orrickOn27(), 0))(t)
		if asShown(e) != fromScratch(t, g, e) {
			t.Errorf("%s: got %s", ref, asShown(e))
		}
	}
	// Numbers that were given to what is erased are not given again.
	if g := found(t, s, "new"); g.id != 4 {
		t.Errorf("a new community has number %d, want 4", g.id)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	must(openAddress(t, address).Group(ctx, "new"))(t)
}

// What the migrations make today is what the released program's made, to the last
// column and rule.
func TestAReleasedStoreHasTheTablesOfANewOne(t *testing.T) {
	t.Parallel()
	old, today := openAddress(t, releasedStore(t)), openStore(t)
	tables := must(today.db.Tables(t.Context()))(t)
	if got := must(old.db.Tables(t.Context()))(t); len(got) != len(tables) {
		t.Fatalf("%d tables, want %d", len(got), len(tables))
	}
	read := func(s *Store, name string) rules {
		if IsURL(s.Name()) {
			return postgresRules(t, s.look(), name)
		}
		for _, shape := range must(s.db.Tables(t.Context()))(t) {
			if shape.Name == name {
				return sqliteRules(t, s.look(), shape)
			}
		}
		return rules{}
	}
	for _, table := range tables {
		got, want := read(old, table.Name), read(today, table.Name)
		if !slices.Equal(got.columns, want.columns) || !slices.Equal(got.unique, want.unique) ||
			!slices.Equal(got.pointers, want.pointers) {
			t.Errorf("%s:\ngot  %v\nwant %v", table.Name, got, want)
		}
		if n, m := checks(t, old, table.Name), checks(t, today, table.Name); n != m || len(want.columns) == 0 {
			t.Errorf("%s: %d checks, want %d", table.Name, n, m)
		}
	}
}
