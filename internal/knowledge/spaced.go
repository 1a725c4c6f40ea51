package knowledge

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"
)

// Spaced waits until no program on this store has done something, by its name,
// within a time. Where the store is a file it does not wait: there is one program.
//
// Errors: ErrUnreachable; what ends ctx.
func (s *Store) Spaced(ctx context.Context, what string, apart time.Duration) (err error) {
	defer wrap(&err, "wait for a turn to %s", what)
	return s.db.spaced(ctx, what, apart)
}

// spaced takes an advisory lock of a connection of its own, which lets go of it
// when the time is over: the server does, should this program be killed before. It
// is no connection of a pool, for others would wait behind it.
func (p *postgres) spaced(ctx context.Context, what string, apart time.Duration) error {
	config := p.config.Copy()
	config.RuntimeParams["lock_timeout"] = "0" // as long as ctx lasts
	connection, err := pgx.ConnectConfig(ctx, config)
	if err != nil {
		return err
	}
	hangUp := func() { connection.Close(context.WithoutCancel(ctx)) }
	if _, err := connection.Exec(ctx, `SELECT pg_advisory_lock($1)`, int64(p.locks^lockNumber(what))); err != nil {
		hangUp()
		return err
	}
	time.AfterFunc(apart, hangUp)
	return nil
}
