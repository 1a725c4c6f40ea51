package main

import "context"

func exportSubcommand() subcommand {
	return subcommand{
		name: "export", usage: "KIND", summary: "write a kind as CSV to standard output; KIND is " +
			kindNames(exportKinds()),
		run: runExport,
	}
}

func runExport(ctx context.Context, call *invocation) error {
	if len(call.args) != 1 {
		return misused("export takes a kind")
	}
	kind, err := kindNamed(exportKinds(), call.args[0])
	if err != nil {
		return err
	}
	return call.withCommunity(ctx, func(c *community) error { return c.group.Export(ctx, kind, call.stdout) })
}
