package commands

import (
	"bytes"
	"context"
	"database/sql"
	"fmt"
	"log/slog"
	"path/filepath"
	"strings"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
)

// The community of the benchmarks.
const (
	bigProducts = 2000
	bigTests    = 100_000
	bigPerSetup = 10
)

// A big community's names are made of two words, as those of real boxes are.
var (
	makers = []string{"Alder", "Birch", "Cedar", "Damson", "Elder", "Fir", "Gorse", "Hazel", "Ivy", "Juniper", "Larch",
		"Maple", "Oak", "Pine", "Quince", "Rowan", "Sorrel", "Thorn", "Willow", "Yew"}
	lines  = []string{"Amber", "Basalt", "Coral", "Dusk", "Ember", "Flint", "Garnet", "Haze", "Indigo", "Jasper"}
	depths = []string{"Fine", "Soft", "Mid", "Firm", "Deep", "Lip", "Contour", "Hydra", "Paste", "Lift"}
	tubes  = []string{"27G 13 mm needle", "30G 13 mm needle", "30G 4 mm needle", "25G 38 mm cannula",
		"29G 13 mm needle"}
)

func bigName(i int) string {
	return makers[i%len(makers)] + " " + lines[i/len(makers)%len(lines)] + " " +
		depths[i/len(makers)/len(lines)%len(depths)]
}

// bigEnv is a community with 2 000 products and 100 000 tests, and the path of
// its store.
func bigEnv(b *testing.B) (*Env, string) {
	b.Helper()
	ctx := context.Background()
	path := filepath.Join(b.TempDir(), "big.db")
	store, err := knowledge.Open(ctx, path, knowledge.WithClock(stopped))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { store.Close() })
	group, err := store.Found(ctx, knowledge.NewCommunity{Ref: "big", Name: "Big", Zone: "UTC"})
	if err != nil {
		b.Fatal(err)
	}
	if _, err := group.Admit(ctx, knowledge.Member{Ref: "quayside", Role: knowledge.MemberRole}); err != nil {
		b.Fatal(err)
	}
	classes := calc.GelClasses()
	var products, instruments, tests bytes.Buffer
	products.WriteString("name,gel_class,aliases,first_stocked\n")
	instruments.WriteString("name,kind,gauge,length_mm,wall,bore_mm\n")
	tests.WriteString("tested_on,member,product,instrument,syringe,liquid,liquid_c,pull_ml,limit_s,outcome,seconds,timing,note\n")
	for _, tube := range tubes {
		words := strings.Fields(tube)
		fmt.Fprintf(&instruments, "%s,%s,%s,%s,thin,\n", tube, words[3], strings.TrimSuffix(words[0], "G"), words[1])
	}
	for i := range bigProducts {
		fmt.Fprintf(&products, "%s,%s,,2025-01-01\n", bigName(i), classes[i%6])
	}
	for i := range bigTests {
		fmt.Fprintf(&tests, "2026-%02d-%02d,quayside,%s,%s,supplied,whole milk,20,0.1,30,flashback,%.2f,video 30 fps,\n",
			1+i/bigProducts%10, 1+i/bigProducts/10, bigName(i%bigProducts), tubes[i/bigProducts/bigPerSetup],
			0.3+float64(i%97)/20)
	}
	fill(b, group, knowledge.ProductFile, &products)
	fill(b, group, knowledge.InstrumentFile, &instruments)
	fill(b, group, knowledge.TestFile, &tests)
	return &Env{Group: group, Now: stopped, Log: slog.New(slog.DiscardHandler)}, path
}

func fill(b testing.TB, group *knowledge.Group, kind knowledge.FileKind, file *bytes.Buffer) {
	b.Helper()
	report, err := group.Import(context.Background(), kind, knowledge.RowsOf(file), knowledge.Importing{})
	if err != nil || len(report.Faults) > 0 || report.Added != report.Rows {
		b.Fatalf("%s: %+v, %v", kind, report, err)
	}
}

// BenchmarkQuestionToCard is a warm question, text to Card; the bare point query
// on the same file is what the same machine's SQLite takes at the least.
func BenchmarkQuestionToCard(b *testing.B) {
	env, path := bigEnv(b)
	var questions []string
	for i := range 20 {
		questions = append(questions, "hold time for "+bigName(i*97)+" on 27g half inch")
	}
	for _, q := range questions {
		if card := says(b, env, askingMember, q); card.Refused || card.Failed || card.Untested ||
			len(card.Choices) > 0 {
			b.Fatalf("%s\n%s", q, card.Text())
		}
	}
	b.Run("warm", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			says(b, env, askingMember, questions[i%len(questions)])
		}
	})
	b.Run("bare-point-query", func(b *testing.B) { barePointQuery(b, path) })
}

func barePointQuery(b *testing.B, path string) {
	db, err := sql.Open("sqlite3", path)
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	query, err := db.Prepare(`SELECT log_version FROM products WHERE id = ?`)
	if err != nil {
		b.Fatal(err)
	}
	for i := 0; b.Loop(); i++ {
		var version int
		if err := query.QueryRow(1 + i%bigProducts).Scan(&version); err != nil {
			b.Fatal(err)
		}
	}
}
