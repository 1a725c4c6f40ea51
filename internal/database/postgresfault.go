package database

import (
	"errors"
	"io"
	"net"
	"strings"
	"syscall"

	"github.com/jackc/pgx/v5/pgconn"
)

// The codes are PostgreSQL's (postgresql.org/docs/current/errcodes-appendix.html).
const (
	codeUniqueViolation = "23505"
	codeUndefinedTable  = "42P01"
)

// postgresFaults are the store's own faults by code; two characters stand for a
// whole class.
var postgresFaults = [...]struct {
	code  string
	fault error
}{
	{"55P03", ErrBusy},     // a lock was waited for too long
	{"40001", ErrBusy},     // others were faster
	{"40P01", ErrBusy},     // two waited for each other
	{"53100", ErrFull},     // disk
	{"25006", ErrReadOnly}, // a standby, or set so
	{"42501", ErrReadOnly}, // no right to the table
	{"58030", ErrDisk},
	{"XX001", ErrDamaged},
	{"XX002", ErrDamaged},
	{"08", ErrUnreachable},
	{"53300", ErrUnreachable}, // no connection is free
	{"57P", ErrUnreachable},   // shut down or starting
	{"25P03", ErrUnreachable}, // stopped amid a transaction for too long
	{"28", ErrNotLetIn},
	{"3D000", ErrNoDatabase},
}

// postgresFault is which of the store's own faults an error of PostgreSQL or of the
// way to it is, nil if it is none of them.
func postgresFault(err error) error {
	if refused, is := errors.AsType[*pgconn.PgError](err); is {
		for _, f := range postgresFaults {
			if strings.HasPrefix(refused.Code, f.code) {
				return f.fault
			}
		}
		return nil
	}
	var connecting *pgconn.ConnectError
	var network net.Error
	if errors.As(err, &connecting) || errors.As(err, &network) && !network.Timeout() ||
		errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, syscall.EPIPE) || errors.Is(err, syscall.ECONNRESET) {
		return ErrUnreachable
	}
	return nil
}

func isUniqueInPostgres(err error) bool { return hasCode(err, codeUniqueViolation) }

func isUndefinedTable(err error) bool { return hasCode(err, codeUndefinedTable) }

func hasCode(err error, code string) bool {
	var refused *pgconn.PgError
	return errors.As(err, &refused) && refused.Code == code
}
