package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"

	"holdbench/internal/knowledge"
)

func migrateStoreSubcommand() subcommand {
	return subcommand{
		name: "migrate-store", usage: "--from STORE --to STORE [--community REF]",
		summary: "copy all communities, or one, from a file into PostgreSQL or back, and compare every row; STORE is " +
			"a file or a postgres:// address",
		flags: func(f *flag.FlagSet) {
			f.String("from", "", "store to copy from")
			f.String("to", "", "store to copy to")
			f.String("community", "", "only the community of this server")
		},
		run: runMigrateStore,
	}
}

func runMigrateStore(ctx context.Context, call *invocation) (err error) {
	from, to := call.flag("from"), call.flag("to")
	if len(call.args) > 0 || from == "" || to == "" {
		return misused("migrate-store wants --from and --to, a file or a postgres:// address each")
	}
	var refs []string
	if ref := call.flag("community"); ref != "" {
		refs = []string{ref}
	}
	source, err := openThere(ctx, from)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, source.Close()) }()
	target, err := knowledge.Open(ctx, to)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, target.Close()) }()
	copied, err := knowledge.Copy(ctx, source, target, refs...)
	if err != nil {
		return fmt.Errorf("nothing was copied: %w", err)
	}
	if len(copied.Refs) == 0 {
		return fmt.Errorf("nothing was copied: there is no community in %s", source.Name())
	}
	_, err = fmt.Fprintf(call.stdout,
		"Copied and compared: %s, %s in %s.\nFrom %s, as it was when this began, to %s.\n",
		counted(len(copied.Refs), "community", "communities"), counted(copied.Rows, "row", "rows"),
		counted(copied.Tables, "table", "tables"),
		source.Name(), target.Name())
	return err
}

// openThere opens an existing store: knowledge.Open alone would make a new one at a mistyped path.
func openThere(ctx context.Context, address string) (*knowledge.Store, error) {
	if !knowledge.IsURL(address) {
		if _, err := os.Stat(address); err != nil {
			return nil, err
		}
	}
	return knowledge.Open(ctx, address)
}
