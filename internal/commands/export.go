package commands

import (
	"bytes"
	"context"
	"slices"
	"strings"

	"holdbench/internal/knowledge"
)

const (
	exportName = "record export"
	kindOption = "kind"

	// mostExported bounds a file that is sent through a chat, bytes: it is made in memory. A
	// surface compresses and splits what is too large for a message.
	mostExported = 64 << 20
)

// exportKind is one kind of file that can be taken away.
type exportKind struct {
	knowledge.FileKind
	holds string // in words
	names bool   // of members
}

func exportKinds() []exportKind {
	return []exportKind{
		{knowledge.TestFile, "the group's tests that count", true},
		{knowledge.ProductFile, "the gels, with class and other names", false},
		{knowledge.InstrumentFile, "the needles and cannulas", false},
		{knowledge.SyringeFile, "the syringes, with the gas behind the gel", false},
		{knowledge.MemberFile, "who is in the group", true},
		{knowledge.StockFile, "who holds what", true},
		{knowledge.HistoryFile, "what was withdrawn, restored and corrected, with who and why", true},
	}
}

func exportKindNames() []string {
	var names []string
	for _, k := range exportKinds() {
		names = append(names, string(k.FileKind))
	}
	return names
}

// exportMeant is the kind of file by another name for what it holds, "" for none.
func exportMeant(text string) string {
	return map[string]string{"gels": "products", "gel": "products", "needles": "instruments", "cannulas": "instruments",
		"needles and cannulas": "instruments", "log": "tests", "the log": "tests"}[strings.ToLower(text)]
}

var exportCommand = &Command{
	Name:    exportName,
	Summary: "Take the log away as a file: your own tests, or any part of it for the trainer",
	Help: "A CSV file that a spreadsheet opens. A member gets their own tests; the trainer all tests, or with kind " +
		"the products, instruments, syringes, members, stock or history. What could be taken for a formula begins with an " +
		"apostrophe; taking the file in again takes it off.",
	Options: []Option{{Name: kindOption, Help: "what to take away; tests unless said", Choices: exportKindNames(),
		Reads: exportMeant}},
	Who:      anyMember,
	Private:  true,
	Examples: []string{"/record export", "/record export kind:tests"},
	Run:      runExport,
}

func runExport(ctx context.Context, env *Env, call *Call) (Card, error) {
	kinds := exportKinds()
	kind := kinds[0]
	asked := knowledge.FileKind(call.value(kindOption))
	if i := slices.IndexFunc(kinds, func(k exportKind) bool { return k.FileKind == asked }); i >= 0 {
		kind = kinds[i]
	}
	title := "The log as a file: " + string(kind.FileKind)
	var data bytes.Buffer
	if call.Asker.Role.Covers(knowledge.TrainerRole) {
		if err := env.Group.Export(ctx, kind.FileKind, &data); err != nil {
			return Card{}, err
		}
	} else {
		if kind.FileKind != knowledge.TestFile {
			return Card{}, refuse("You can take your own tests: /"+exportName+".", "The file of %s is for the trainer.",
				kind.FileKind)
		}
		m, err := call.Asker.member(ctx, env)
		if err != nil {
			return Card{}, err
		}
		kind.holds, kind.names, title = "your tests that count", false, "Your tests as a file"
		if err := env.Group.ExportTestsOf(ctx, &data, m); err != nil {
			return Card{}, err
		}
	}
	file, rows, err := csvFile(call, string(kind.FileKind), data.Bytes(),
		"Whoever runs the bot can write it to disk: bot export "+string(kind.FileKind)+".")
	if err != nil {
		return Card{}, err
	}
	return exportCard(title, kind, file, rows), nil
}

// csvFile is a file named after today, and how many rows its data has below the heading; no
// cell may have a line break.
//
// Errors: *UserError with the hint if it is too large.
func csvFile(call *Call, name string, data []byte, hint string) (f File, rows int, err error) {
	if len(data) > mostExported {
		return f, 0, refuse(hint, "The file is too large for a message.")
	}
	return File{Name: name + "-" + call.today() + ".csv", Type: "text/csv; charset=utf-8", Data: data},
		bytes.Count(data, []byte("\n")) - 1, nil
}

// exportCard says what is in a file.
func exportCard(title string, kind exportKind, file File, rows int) Card {
	c := Card{Title: title, Files: []File{file}}
	c.fact(file.Name, "%s, %s.", kind.holds, count(rows, "line"))
	if rows == 0 {
		c.Verdict = "Nothing is on record yet; the file has its heading alone."
	}
	if kind.names {
		c.line("Members' names are in it: keep it as you keep the log.")
	}
	if kind.FileKind == knowledge.TestFile && strings.Contains(string(file.Data[:min(len(file.Data), 400)]), "film_link") {
		c.line("A film's link opens for those who can see the message it came in.")
	}
	return c
}
