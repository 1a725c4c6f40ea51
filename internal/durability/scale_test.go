package durability

import (
	"bytes"
	"context"
	"database/sql"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/commands"
	"holdbench/internal/knowledge"
)

var scale = flag.Bool("scale", false, "build a store with a million tests and measure it; takes minutes")

// The large store: so many communities, all like the first.
const (
	communities = 1000
	products    = 100
	testsEach   = 1000
	rowsApart   = 2000 // between the row numbers of one community and the next
)

// What is aimed at, at that size.
const (
	mostMemory = 150 << 20
	mostStart  = 2 * time.Second
	mostGrowth = 2.0
)

// TestScale measures what grows with the store and holds it against the aims.
func TestScale(t *testing.T) {
	if !*scale {
		t.Skip("takes minutes: make scale")
	}
	small, large := filepath.Join(t.TempDir(), "small.db"), filepath.Join(t.TempDir(), "large.db")
	firstCommunity(t, small)
	began := time.Now()
	firstCommunity(t, large)
	multiply(t, large, communities)
	info := must(os.Stat(large))(t)
	t.Logf("store with %d tests: %d MB, built in %s", communities*testsEach, info.Size()>>20, time.Since(began).Round(time.Second))

	one, many := weigh(t, small, 1), weigh(t, large, communities)
	for what, w := range map[string]weighed{"1 community": one, fmt.Sprint(communities, " communities"): many} {
		t.Logf("%s: open and answered after %s; a warm question %s, in a community not asked before %s; memory %d MB, at most %d MB", what,
			w.start.Round(time.Millisecond), w.warm.Round(time.Microsecond), w.cold.Round(time.Microsecond), w.memory>>20, w.peak>>20)
	}
	growth := float64(many.warm) / float64(one.warm)
	t.Logf("a warm question at %d tests takes %.2f times as long as at %d", communities*testsEach, growth, testsEach)
	if many.start > mostStart {
		t.Errorf("start: %s, aim %s", many.start, mostStart)
	}
	if many.peak > mostMemory {
		t.Errorf("memory: %d MB, aim %d MB", many.peak>>20, mostMemory>>20)
	}
	if growth > mostGrowth {
		t.Errorf("growth: %.2f, aim %.1f", growth, mostGrowth)
	}
}

// firstCommunity makes a store with one community in it, with as many tests of
// each gel.
func firstCommunity(t *testing.T, path string) {
	t.Helper()
	ctx := t.Context()
	store := must(knowledge.Open(ctx, path))(t)
	group := must(store.Found(ctx, knowledge.NewCommunity{Ref: ref(0), Name: "Circle"}))(t)
	must(group.Admit(ctx, knowledge.Member{Ref: member}))(t)
	var names, tubes, tests bytes.Buffer
	names.WriteString("name,gel_class\n")
	tubes.WriteString("kind,gauge,length_mm,wall\nneedle,27,13,thin\nneedle,30,13,thin\nneedle,31,8,thin\n")
	tests.WriteString("tested_on,member,product,instrument,syringe,liquid,liquid_c,pull_ml,limit_s,outcome,seconds,timing,note\n")
	classes := calc.GelClasses()
	for n := range products {
		fmt.Fprintf(&names, "%s,%s\n", bigGel(n), classes[n%len(classes)])
	}
	for n := range testsEach {
		fmt.Fprintf(&tests, "2026-01-%02d,%s,%s,%s,supplied,whole milk,20,0.1,30,flashback,%.2f,video 30 fps,\n",
			1+n%28, member, bigGel(n%products), needles[n/products%len(needles)], 0.5+float64(n%89)/20)
	}
	for _, file := range []struct {
		read func(context.Context, io.Reader, bool) (knowledge.ImportReport, error)
		text *bytes.Buffer
	}{{group.ImportProducts, &names}, {group.ImportInstruments, &tubes}, {group.ImportTests, &tests}} {
		if report := must(file.read(ctx, file.text, false))(t); len(report.Faults) > 0 || report.Added == 0 {
			t.Fatalf("%+v", report)
		}
	}
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
}

func ref(n int) string { return strconv.Itoa(700_000_000_000 + n) }

var firstWords = []string{"Alder", "Birch", "Cedar", "Damson", "Elder", "Fir", "Gorse", "Hazel", "Ivy", "Larch"}
var lastWords = []string{"Amber", "Basalt", "Coral", "Dusk", "Ember", "Flint", "Garnet", "Haze", "Indigo", "Jasper"}

func bigGel(n int) string { return firstWords[n%10] + " " + lastWords[n/10%10] }

// multiplied are the tables that are copied, and their columns that hold row
// numbers.
var multiplied = []string{"communities", "members", "products", "product_names", "instruments", "syringes", "tests", "tested_combinations"}
var rowColumns = []string{"id", "community_id", "product_id", "instrument_id", "syringe_id", "tester_id"}

// multiply copies the first community until there are so many. Rows go straight
// into the file: logged one by one they would take the better part of a day.
func multiply(t *testing.T, path string, times int) {
	t.Helper()
	db := must(sql.Open("sqlite3", "file:"+path+"?_synchronous=OFF&_journal_mode=OFF"))(t)
	defer db.Close()
	for _, table := range multiplied {
		columns := must(texts(db, `SELECT name FROM pragma_table_info('`+table+`')`))(t)
		values := slices.Clone(columns)
		for i, column := range columns {
			switch {
			case slices.Contains(rowColumns, column):
				values[i] = fmt.Sprintf("f.%s + n.k * %d", column, rowsApart)
			case table == "communities" && column == "ref":
				values[i] = "CAST(CAST(f.ref AS INTEGER) + n.k AS TEXT)"
			default:
				values[i] = "f." + column
			}
		}
		statement := fmt.Sprintf(`
			WITH RECURSIVE n (k) AS (SELECT 1 UNION ALL SELECT k + 1 FROM n WHERE k < %d)
			INSERT INTO %s (%s) SELECT %s FROM n CROSS JOIN (SELECT * FROM %s ORDER BY 1) f`,
			times-1, table, strings.Join(columns, ", "), strings.Join(values, ", "), table)
		must(db.Exec(statement))(t)
	}
	must(db.Exec(`PRAGMA journal_mode = WAL`))(t)
	if n := count(t, db, `PRAGMA foreign_key_check`); n > 0 {
		t.Fatalf("%d rows point nowhere", n)
	}
	if n := count(t, db, `SELECT id FROM tests`); n != times*testsEach {
		t.Fatalf("%d tests", n)
	}
}

func texts(db *sql.DB, query string) (found []string, err error) {
	rows, err := db.Query(query)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var text string
		if err := rows.Scan(&text); err != nil {
			return nil, err
		}
		found = append(found, text)
	}
	return found, rows.Err()
}

// weighed is what a process of its own says of itself after it has answered in
// many communities.
type weighed struct {
	start, warm, cold time.Duration
	memory, peak      int64 // resident, bytes
}

func weigh(t *testing.T, path string, communities int) (w weighed) {
	t.Helper()
	began := time.Now()
	c := startChild(t, "weigh", path, strconv.Itoa(communities))
	for c.lines.Scan() {
		var what string
		var value int64
		if _, err := fmt.Sscan(c.lines.Text(), &what, &value); err != nil {
			t.Fatalf("said %q: %v", c.lines.Text(), err)
		}
		switch what {
		case "ready":
			w.start = time.Since(began)
		case "warm":
			w.warm = time.Duration(value)
		case "cold":
			w.cold = time.Duration(value)
		case "VmRSS:":
			w.memory = value << 10
		case "VmHWM:":
			w.peak = value << 10
		}
	}
	if err := c.cmd.Wait(); err != nil || w.peak == 0 {
		t.Fatalf("%v: %s", err, c.stderr)
	}
	return w
}

// The questions of the child: so many gels in each community, and so many warm.
const (
	askedGels = 3
	warmAsked = 2000
)

// weighSelf opens the store as the program does, answers in each of so many
// communities and says what that took.
func weighSelf(ctx context.Context, path, number string) error {
	many, err := strconv.Atoi(number)
	if err != nil {
		return err
	}
	store, err := knowledge.Open(ctx, path)
	if err != nil {
		return err
	}
	defer store.Close()
	all := &commands.Communities{Store: store, Now: time.Now, Log: slog.New(slog.DiscardHandler)}
	if err := askIn(ctx, all, 0, 0); err != nil {
		return err
	}
	say("ready 0")
	began := time.Now()
	for n := range many {
		for g := range askedGels {
			if err := askIn(ctx, all, n, g*7+n); err != nil {
				return err
			}
		}
	}
	say("cold %d", int64(time.Since(began))/int64(many*askedGels))
	took := make([]time.Duration, warmAsked)
	for i := range took {
		began := time.Now()
		if err := askIn(ctx, all, many/2, i%askedGels*7+many/2); err != nil {
			return err
		}
		took[i] = time.Since(began)
	}
	slices.Sort(took)
	say("warm %d", int64(took[len(took)/2]))
	runtime.KeepAlive(all)
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return err
	}
	for line := range strings.Lines(string(status)) {
		if strings.HasPrefix(line, "VmRSS:") || strings.HasPrefix(line, "VmHWM:") {
			say("%s", strings.TrimSpace(line))
		}
	}
	return nil
}

// askIn asks a question and for suggestions in one community, as members do.
func askIn(ctx context.Context, all *commands.Communities, community, gel int) error {
	env, _, err := all.Env(ctx, ref(community), "")
	if err != nil {
		return err
	}
	req := question(bigGel(gel), needles[0])
	req.Asker = asker
	if card := commands.Answer(ctx, env, req); card.Failed || card.Refused || card.Untested {
		return fmt.Errorf("community %d: %s", community, card.Text())
	}
	return nil
}
