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
		name: "import", usage: "KIND FILE.csv [--skip-bad]",
		summary: "take a file in; KIND is " + kindNames(csvKinds()) + ". Nothing is stored if a row is bad, unless --skip-bad",
		flags:   func(f *flag.FlagSet) { f.Bool("skip-bad", false, "leave bad rows out and store the rest") },
		run:     runImport,
	}
}

func runImport(ctx context.Context, call *invocation) error {
	if len(call.args) != 2 {
		return misused("import takes a kind and a file")
	}
	kind, err := csvKindNamed(csvKinds(), call.args[0])
	if err != nil {
		return err
	}
	return call.withCommunity(ctx, func(c *community) error {
		if c.demo {
			return fmt.Errorf("no store to import into: set %s to a file", config.Settings()[0].Environment())
		}
		return importFile(ctx, call, kind.read(c.group))
	})
}

func importFile(ctx context.Context, call *invocation, read func(context.Context, io.Reader, bool) (knowledge.ImportReport, error)) (err error) {
	file, err := os.Open(call.args[1])
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	skipBad := call.flagged("skip-bad") == "true"
	report, err := read(ctx, file, skipBad)
	if err != nil {
		return err
	}
	return tellImport(call, report, skipBad)
}

// tellImport names the first bad rows and says what was stored.
func tellImport(call *invocation, report knowledge.ImportReport, skipBad bool) error {
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
	if report.Bad > 0 && !skipBad {
		return fmt.Errorf("%d of %d rows are bad; nothing was stored", report.Bad, report.Rows)
	}
	_, err := io.WriteString(call.stdout, importWords(report))
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
