package main

import (
	"context"
	"errors"
)

func exportSubcommand() subcommand {
	return subcommand{
		name: "export", usage: "KIND", summary: "write a kind as CSV to standard output; KIND is " + kindNames(exportKinds()),
		run: runExport,
	}
}

func runExport(ctx context.Context, call *invocation) (err error) {
	if len(call.args) != 1 {
		return misused("export takes a kind")
	}
	kind, err := csvKindNamed(exportKinds(), call.args[0])
	if err != nil {
		return err
	}
	settings, err := call.settings()
	if err != nil {
		return err
	}
	c, err := open(ctx, settings, call.logger(settings.Log))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, c.Close()) }()
	return kind.write(c.group)(ctx, call.stdout)
}
