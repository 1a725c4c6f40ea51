package database

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// Copied says what Copy copied.
type Copied struct {
	Refs   []string // of the tenants, in the order of their numbers
	Tables int      // tables compared
	Rows   int      // rows written, read again and found the same
}

// Copy copies tenants with all their rows from one store into another, of the same engine or not: the tenants of refs,
// or all if refs is empty. Rows keep their numbers. Rows that belong to no tenant are copied only where all tenants are
// copied into a store that has none yet. A store without tenants copies nothing, which is no error.
//
// Every row is read again from the target and compared before the commit: all of it is copied, or nothing. The copy is
// of one moment, and others may read and write the source meanwhile. Nobody else can write to the target.
//
// Errors: ErrNotFound for a ref that the source does not have; ErrDuplicate if the target has a tenant of that ref, or
// rows of the same numbers, as stores have that were begun apart.
func Copy(ctx context.Context, from, to *DB, refs ...string) (c Copied, err error) {
	defer Wrap(&err, "copy from %s to %s", from.Name(), to.Name())
	err = from.Snapshot(ctx, func(source Querier) error {
		return to.Write(ctx, AllTenants, func(target Querier) error {
			job := copying{schema: from.schema, from: from.engine, to: to.engine, source: source, target: target}
			if err := job.prepare(ctx, refs); err != nil {
				return err
			}
			c = Copied{Refs: job.refs, Tables: len(job.all)}
			compare := func(ctx context.Context, t Table) error {
				same, err := job.compare(ctx, t)
				c.Rows += same
				return err
			}
			for _, do := range []func(context.Context, Table) error{job.write, compare, job.countOn} {
				for _, t := range job.all {
					if err := do(ctx, t); err != nil {
						return fmt.Errorf("table %s: %w", t.Name, err)
					}
				}
			}
			return nil
		})
	})
	if err != nil {
		return Copied{}, err
	}
	return c, nil
}

// copying is a copy under way.
type copying struct {
	schema         Schema
	from, to       engine
	source, target Querier
	all            []Table // those with rows to copy, each after those that it points at
	ids            []int64
	refs           []string
}

// prepare finds out what to copy, and that the target has none of it.
func (c *copying) prepare(ctx context.Context, refs []string) error {
	if err := c.match(ctx); err != nil {
		return err
	}
	if err := c.choose(ctx, refs); err != nil {
		return err
	}
	present, err := c.refuseThere(ctx)
	if err != nil {
		return err
	}
	if len(refs) > 0 || present > 0 {
		c.all = slices.DeleteFunc(c.all, func(t Table) bool { return c.schema.belongs(t) == "" })
	}
	return c.to.putOff(ctx, c.target)
}

// match reads the tables. Both stores have the same, because opening a store brings it up to date.
func (c *copying) match(ctx context.Context) error {
	tables, err := readTables(ctx, c.from, c.source)
	if err != nil {
		return err
	}
	there, err := readTables(ctx, c.to, c.target)
	if err != nil {
		return err
	}
	if !slices.EqualFunc(tables, there, Table.equal) {
		return errors.New("the two stores do not have the same tables")
	}
	c.all, err = inOrder(tables)
	return err
}

// choose finds the tenants of refs, or all if refs is empty.
func (c *copying) choose(ctx context.Context, refs []string) error {
	_, err := Collect(ctx, c.source, func(rows *sql.Rows, _ *struct{}) error {
		var id int64
		var ref string
		if err := rows.Scan(&id, &ref); err != nil {
			return err
		}
		if len(refs) == 0 || slices.Contains(refs, ref) {
			c.ids, c.refs = append(c.ids, id), append(c.refs, ref)
		}
		return nil
	}, `SELECT id, ref FROM `+c.schema.Tenants+` ORDER BY id`)
	if err != nil {
		return err
	}
	for _, ref := range refs {
		if !slices.Contains(c.refs, ref) {
			return fmt.Errorf("%q in %s: %w", ref, c.schema.Tenants, ErrNotFound)
		}
	}
	return nil
}

// refuseThere returns ErrDuplicate if the target has one of the tenants, and how many tenants it has.
func (c *copying) refuseThere(ctx context.Context) (present int, err error) {
	there, err := Collect(ctx, c.target, Column[string], `SELECT ref FROM `+c.schema.Tenants)
	for _, ref := range c.refs {
		if slices.Contains(there, ref) {
			return 0, fmt.Errorf("%q in %s: %w", ref, c.schema.Tenants, ErrDuplicate)
		}
	}
	return len(there), err
}

// The limits of one INSERT. SQLite takes 32 766 arguments (sqlite.org/limits.html), PostgreSQL 65 535.
const (
	mostRowsAtOnce = 500
	mostArguments  = 30_000
)

// write copies the rows of a table.
func (c *copying) write(ctx context.Context, t Table) error {
	most := min(mostRowsAtOnce, mostArguments/len(t.Columns))
	var batch []any
	put := func() error {
		if len(batch) == 0 {
			return nil
		}
		one := "(" + strings.TrimSuffix(strings.Repeat("?, ", len(t.Columns)), ", ") + ")"
		rows := strings.TrimSuffix(strings.Repeat(one+", ", len(batch)/len(t.Columns)), ", ")
		_, err := c.target.Exec(ctx,
			`INSERT INTO `+t.Name+` (`+strings.Join(t.Columns, ", ")+`) VALUES `+rows, batch...)
		batch = batch[:0]
		if isTaken(err) {
			return fmt.Errorf("%w: rows by the same numbers, of a store begun apart (%v)", ErrDuplicate, err)
		}
		return err
	}
	rows, err := c.read(ctx, c.source, t)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		cells, err := Cells(rows, len(t.Columns))
		if err != nil {
			return err
		}
		batch = append(batch, cells...)
		if len(batch) >= most*len(t.Columns) {
			if err := put(); err != nil {
				return err
			}
		}
	}
	if err := rows.Err(); err != nil {
		return err
	}
	return put()
}

// read reads the rows of a table that are to be copied, ordered by their key.
func (c *copying) read(ctx context.Context, q Querier, t Table) (*sql.Rows, error) {
	return q.Rows(ctx, `
		SELECT `+strings.Join(t.Columns, ", ")+` FROM `+t.Name+`
		WHERE `+c.schema.where(t, c.ids)+` ORDER BY `+strings.Join(t.Key, ", "))
}

// compare reads a table from both stores and returns the number of rows. A row that differs is an error.
func (c *copying) compare(ctx context.Context, t Table) (same int, err error) {
	source, err := c.read(ctx, c.source, t)
	if err != nil {
		return 0, err
	}
	defer source.Close()
	target, err := c.read(ctx, c.target, t)
	if err != nil {
		return 0, err
	}
	defer target.Close()
	for {
		more, there := source.Next(), target.Next()
		if more != there {
			err := fmt.Errorf("after %d rows only one of the two stores has more", same)
			return 0, errors.Join(err, source.Err(), target.Err())
		}
		if !more {
			return same, errors.Join(source.Err(), target.Err())
		}
		want, err := Cells(source, len(t.Columns))
		if err != nil {
			return 0, err
		}
		got, err := Cells(target, len(t.Columns))
		if err != nil {
			return 0, err
		}
		for i, column := range t.Columns {
			if !sameCell(want[i], got[i]) {
				return 0, fmt.Errorf("row %d, %s: %v became %v", same+1, column, want[i], got[i])
			}
		}
		same++
	}
}

// countOn makes the target's table give numbers above all that the source has given, deleted rows included.
func (c *copying) countOn(ctx context.Context, t Table) error {
	if t.Number == "" {
		return nil
	}
	highest, err := c.from.count(ctx, c.source, t)
	if err != nil || highest == 0 {
		return err
	}
	return c.to.countFrom(ctx, c.target, t, highest)
}

// Cells reads a row of so many columns as the database gives it: int64, float64, string, []byte or nil.
func Cells(rows *sql.Rows, columns int) ([]any, error) {
	cells, to := make([]any, columns), make([]any, columns)
	for i := range cells {
		to[i] = &cells[i]
	}
	return cells, rows.Scan(to...)
}

func sameCell(a, b any) bool {
	if bytes, is := a.([]byte); is {
		other, is := b.([]byte)
		return is && slices.Equal(bytes, other)
	}
	if _, is := b.([]byte); is {
		return false
	}
	return a == b
}
