package database

import (
	"context"
	"errors"
	"fmt"
)

// InspectDatabase checks the PostgreSQL database of a URL, without changing it: it lets the program in, is empty or a
// store of this program and no newer, and can be written to. Version 0 says that it is empty. It does not check that
// every page is sound, which the server looks after.
//
// Errors: ErrNotLetIn, ErrNoDatabase, ErrUnreachable, ErrNotAStore, ErrNewerStore,
// ErrReadOnly. The password is in none of them.
func InspectDatabase(ctx context.Context, s Schema, url string) (found Inspection, err error) {
	p, err := newPostgres(url)
	if err != nil {
		return Inspection{}, fmt.Errorf("look at the database: %w", err)
	}
	defer Wrap(&err, "look at %s", p.name())
	if found.Newest, err = s.newest(p.folder()); err != nil {
		return Inspection{}, err
	}
	pool := p.readingPool()
	defer func() { err = errors.Join(err, pool.Close()) }()
	q := p.querier(pool)
	err = q.Row(ctx, `SELECT 'PostgreSQL ' || split_part(current_setting('server_version'), ' ', 1)`).
		Scan(&found.Engine)
	if err != nil {
		return Inspection{}, err
	}
	marked, err := p.recognise(ctx, q, s, found.Newest)
	if err != nil {
		return Inspection{}, err
	}
	found.Version = marked.version
	if err := p.mayWrite(ctx, q, found.Version < found.Newest); err != nil {
		return Inspection{}, err
	}
	if found.Version == 0 {
		return found, nil
	}
	return found, s.look(ctx, q, found.Version)
}

// mayWrite returns ErrReadOnly if the server takes no writes or the user lacks a right to the tables. building says
// that tables will be made or changed, too.
func (p *postgres) mayWrite(ctx context.Context, q Querier, building bool) error {
	var standby, build bool
	var barred int
	err := q.Row(ctx, `
		SELECT pg_is_in_recovery(), has_schema_privilege(current_schema(), 'CREATE'), COUNT(*)
		FROM pg_catalog.pg_class c
		JOIN pg_catalog.pg_namespace n ON n.oid = c.relnamespace
		WHERE n.nspname = current_schema() AND c.relkind = 'r' AND NOT (
			has_table_privilege(c.oid, 'SELECT') AND has_table_privilege(c.oid, 'INSERT')
			AND has_table_privilege(c.oid, 'UPDATE') AND has_table_privilege(c.oid, 'DELETE'))`,
	).Scan(&standby, &build, &barred)
	switch {
	case err != nil:
		return err
	case standby:
		return fmt.Errorf("%w: the server is a standby", ErrReadOnly)
	case building && !build:
		return fmt.Errorf("%w: the user may make no tables in its schema", ErrReadOnly)
	case barred > 0:
		return fmt.Errorf("%w: the user may not read and write all of its tables", ErrReadOnly)
	}
	return nil
}
