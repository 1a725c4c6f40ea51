package holdbench

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// mayImport says what each folder may import beside the standard library. The
// arrows go one way: calc ← trade, and database ← knowledge ← commands ← surfaces ← cmd/bot. A folder
// whose name ends in "test" is for tests alone, as net/http/httptest is: it may
// import testing, and no folder here may import it.
var mayImport = map[string][]string{
	// Leaves: they know nothing of one another.
	"internal/calc":       {"gonum.org/v1/gonum/stat/distuv"},
	"internal/cache":      {}, // values in memory, whatever they are
	"internal/fault":      {}, // an error as it goes into the log
	"internal/outputtest": {}, // what a program under test writes
	"internal/quantity": { // numbers with units, and days, as they are typed
		"holdbench/internal/spelling", "holdbench/internal/wordlist", "golang.org/x/text/unicode/norm",
	},
	"internal/sealed":   {"filippo.io/age"},                 // files that only who has a key can read
	"internal/spelling": {"golang.org/x/text/unicode/norm"}, // words without accents, and how far one is from another
	"internal/wordlist": {},                                 // lists of words that are data
	"internal/sheet": { // tables of text cells, from CSV and workbooks
		"github.com/xuri/excelize/v2", "golang.org/x/text/encoding", "golang.org/x/text/encoding/charmap",
		"golang.org/x/text/encoding/unicode", "golang.org/x/text/transform",
	},
	"internal/database": { // two engines; pgconn: the codes of errors; goose: migrations
		"github.com/mattn/go-sqlite3", "github.com/jackc/pgx/v5", "github.com/jackc/pgx/v5/pgconn",
		"github.com/jackc/pgx/v5/stdlib", "github.com/pressly/goose/v3", "github.com/pressly/goose/v3/database",
	},
	"internal/patientdata":           {"holdbench/internal/spelling", "holdbench/internal/wordlist"}, // whether a text looks like patient data
	"internal/database/databasetest": {"github.com/jackc/pgx/v5/pgconn", "github.com/jackc/pgx/v5/stdlib"},

	// The nouns, what a group knows of them, how numbers are said and drawn.
	"internal/trade": {
		"holdbench/internal/calc", "holdbench/internal/patientdata", "holdbench/internal/quantity",
		"golang.org/x/text/unicode/norm",
	},
	"internal/knowledge": {
		"holdbench/internal/cache", "holdbench/internal/calc", "holdbench/internal/database", "holdbench/internal/say",
		"holdbench/internal/patientdata", "holdbench/internal/quantity", "holdbench/internal/sheet",
		"holdbench/internal/spelling",
		"holdbench/internal/trade", "github.com/mtibben/confusables", "golang.org/x/text/unicode/norm",
	},
	"internal/knowledge/storetest": {"github.com/mattn/go-sqlite3"}, // reads a store past the program
	"internal/say":                 {"holdbench/internal/calc"},
	"internal/chart": {
		"holdbench/internal/calc", "holdbench/internal/say", "gonum.org/v1/plot", "gonum.org/v1/plot/font",
		"gonum.org/v1/plot/font/liberation", "gonum.org/v1/plot/vg", "gonum.org/v1/plot/vg/vgimg",
		"gonum.org/v1/plot/vg/draw", "gonum.org/v1/plot/plotter", "golang.org/x/image/font",
		"golang.org/x/image/math/fixed",
	},

	// What can be asked, and how it is read: words alone, no store and no clock.
	"internal/commands/assumption": {"holdbench/internal/quantity", "holdbench/internal/say"},
	"internal/commands/urgent":     {"holdbench/internal/spelling", "holdbench/internal/wordlist"}, // heard before anything is read
	"internal/commands/logline": {
		"holdbench/internal/calc", "holdbench/internal/commands/question", "holdbench/internal/quantity",
		"holdbench/internal/trade", "holdbench/internal/wordlist",
	},
	"internal/commands/testsheet": {
		"holdbench/internal/calc", "holdbench/internal/commands/logline", "holdbench/internal/commands/question",
		"holdbench/internal/quantity", "holdbench/internal/sheet", "holdbench/internal/trade",
		"holdbench/internal/wordlist",
	},
	"internal/commands/question": {
		"holdbench/internal/calc", "holdbench/internal/quantity", "holdbench/internal/spelling",
		"holdbench/internal/trade", "holdbench/internal/wordlist",
	},
	"internal/commands": {
		"holdbench/internal/cache", "holdbench/internal/calc", "holdbench/internal/chart",
		"holdbench/internal/commands/assumption", "holdbench/internal/commands/logline", "holdbench/internal/commands/question",
		"holdbench/internal/commands/testsheet",
		"holdbench/internal/commands/urgent", "holdbench/internal/knowledge", "holdbench/internal/patientdata",
		"holdbench/internal/quantity", "holdbench/internal/say", "holdbench/internal/sheet",
		"holdbench/internal/fault", "holdbench/internal/spelling", "holdbench/internal/trade",
	},

	// Where it is asked, and what is said unasked.
	"internal/groups": { // what each group's commands work with, and how much may be asked
		"holdbench/internal/cache", "holdbench/internal/commands", "holdbench/internal/knowledge", "golang.org/x/time/rate",
	},
	"internal/jobs": {
		"holdbench/internal/calc", "holdbench/internal/commands", "holdbench/internal/fault",
		"holdbench/internal/knowledge", "holdbench/internal/say", "holdbench/internal/sealed",
		"holdbench/internal/trade", "github.com/robfig/cron/v3",
	},
	"internal/room": {"holdbench/internal/commands"},
	"internal/discord/api": { // requests, knows no command
		"holdbench/internal/fault", "github.com/bwmarrin/discordgo", "golang.org/x/time/rate",
	},
	"internal/discord/gateway": {
		"holdbench/internal/discord/api", "github.com/bwmarrin/discordgo", "github.com/gorilla/websocket",
	},
	"internal/discord": {
		"holdbench/internal/cache", "holdbench/internal/commands", "holdbench/internal/fault", "holdbench/internal/groups",
		"holdbench/internal/discord/api",
		"holdbench/internal/discord/gateway", "github.com/bwmarrin/discordgo",
	},
	"internal/inside": { // asks what it is handed, knows nothing of the bot
		"github.com/prometheus/client_golang/prometheus", "github.com/prometheus/client_golang/prometheus/collectors",
		"github.com/prometheus/client_golang/prometheus/promhttp",
	},
	"config": {"holdbench/internal/sealed", "github.com/spf13/viper"},
	"cmd/bot": {
		"holdbench/config", "holdbench/internal/calc", "holdbench/internal/commands", "holdbench/internal/groups",
		"holdbench/internal/discord", "holdbench/internal/discord/api", "holdbench/internal/discord/gateway",
		"holdbench/internal/fault", "holdbench/internal/inside",
		"holdbench/internal/jobs", "holdbench/internal/knowledge", "holdbench/internal/room",
		"holdbench/internal/sealed",
	},
}

func TestImportsGoOneWay(t *testing.T) {
	seen := map[string]int{}
	for path, file := range shippedFiles(t) {
		folder := filepath.ToSlash(filepath.Dir(path))
		allowed, ruled := mayImport[folder]
		if !ruled {
			t.Errorf("%s: no rule for folder %s", path, folder)
			continue
		}
		seen[folder]++
		for _, spec := range file.Imports {
			name, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				t.Fatal(err)
			}
			if (name == "testing" || strings.HasPrefix(name, "testing/")) && !strings.HasSuffix(folder, "test") {
				t.Errorf("%s imports %s", path, name)
			}
			if outside := strings.Contains(name, ".") || strings.HasPrefix(name, "holdbench"); outside &&
				!slices.Contains(allowed, name) {
				t.Errorf("%s may not import %s", path, name)
			}
		}
	}
	for folder := range mayImport {
		if seen[folder] == 0 {
			t.Errorf("no files seen in %s", folder)
		}
	}
}

func TestNothingRunsBeforeMain(t *testing.T) {
	for path, file := range shippedFiles(t) {
		for _, decl := range file.Decls {
			if f, ok := decl.(*ast.FuncDecl); ok && f.Recv == nil && f.Name.Name == "init" {
				t.Errorf("%s declares init", path)
			}
		}
	}
}

// shippedFiles parses every Go file that is not a test, by its path.
func shippedFiles(t *testing.T) map[string]*ast.File {
	t.Helper()
	files := map[string]*ast.File{}
	err := filepath.WalkDir(".", func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if entry.IsDir() {
			if name := entry.Name(); name == "testdata" || strings.HasPrefix(name, ".") && name != "." {
				return filepath.SkipDir
			}
			if _, err := os.Stat(filepath.Join(path, "go.mod")); err == nil && path != "." {
				return filepath.SkipDir // a module of its own: the platform's stand-in, which knows nothing of the bot
			}
			return nil
		}
		if !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		files[path], err = parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(files) == 0 {
		t.Fatal("no files seen")
	}
	return files
}
