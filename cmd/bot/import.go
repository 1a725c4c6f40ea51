package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"

	"holdbench/config"
	"holdbench/internal/knowledge"
)

func importSubcommand() subcommand {
	return subcommand{
		name: "import", usage: "[KIND] FILE [--skip-bad] [--yes]",
		summary: "import a spreadsheet, CSV or .xlsx; without KIND it asks about what is unclear, and --yes skips " +
			"the last question. KIND is " + kindNames(knowledge.ImportKinds()) + ": for a file as it was exported. " +
			"Nothing is stored if a row is bad, unless --skip-bad",
		flags: func(f *flag.FlagSet) {
			f.Bool("skip-bad", false, "leave bad rows out and store the rest")
			f.Bool("yes", false, "store what was found good without asking once more")
		},
		run: runImport,
	}
}

func runImport(ctx context.Context, call *invocation) error {
	if len(call.args) == 1 {
		if _, err := kindNamed(knowledge.ImportKinds(), call.args[0]); err == nil {
			return misused("import %s takes a file, too", call.args[0])
		}
		return call.withOwnStore(ctx, func(c *community) error { return importSpreadsheet(ctx, call, c) })
	}
	if len(call.args) != 2 {
		return misused("import takes a file, or a kind and a file")
	}
	kind, err := kindNamed(knowledge.ImportKinds(), call.args[0])
	if err != nil {
		return err
	}
	return call.withOwnStore(ctx, func(c *community) error { return importFile(ctx, call, c.group, kind) })
}

// withOwnStore is withCommunity, but refuses the demo, whose changes would be lost.
func (call *invocation) withOwnStore(ctx context.Context, do func(c *community) error) error {
	return call.withCommunity(ctx, func(c *community) error {
		if c.demo {
			return fmt.Errorf("no store to import into: set %s to a file", config.Settings()[0].Environment())
		}
		return do(c)
	})
}

// errLeftOut: the file was imported, but for some of its rows.
var errLeftOut = errors.New("rows were left out")

func importFile(ctx context.Context, call *invocation, group *knowledge.Group, kind knowledge.FileKind) (err error) {
	file, err := os.Open(call.args[1])
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	how := knowledge.Importing{SkipBad: call.flagged("skip-bad")}
	report, err := group.Import(ctx, kind, knowledge.RowsOf(file), how)
	if err != nil {
		return err
	}
	return tellImport(call, report)
}

// tellImport names the first bad rows and says what was stored.
func tellImport(call *invocation, report knowledge.ImportReport) error {
	for _, fault := range report.Faults {
		if _, err := fmt.Fprintf(call.stderr, "line %d: %s\n", fault.Line, fault.Problem); err != nil {
			return err
		}
	}
	if more := report.Bad - len(report.Faults); more > 0 {
		if _, err := fmt.Fprintf(call.stderr, "and %d more\n", more); err != nil {
			return err
		}
	}
	if report.Bad > 0 && report.Rows == 0 {
		return errors.New("the headings are not those of an exported file; nothing was stored. Without a kind, bot " +
			"import FILE reads a sheet as it is kept")
	}
	if report.Bad > 0 && !call.flagged("skip-bad") {
		return fmt.Errorf("%d of %d rows are bad; nothing was stored", report.Bad, report.Rows)
	}
	_, err := io.WriteString(call.stdout, importWords(report))
	if err == nil && report.Bad > 0 {
		err = errLeftOut
	}
	return err
}

func importWords(r knowledge.ImportReport) string {
	text := fmt.Sprintf("%d rows: %d added, %d there already", r.Rows, r.Added, r.Already)
	if r.Changed > 0 {
		text += fmt.Sprintf(", %d changed", r.Changed)
	}
	if r.Bad > 0 {
		text += fmt.Sprintf(", %d bad ones left out", r.Bad)
	}
	return text + "\n"
}
