package database

import (
	"errors"
	"io"
	"net"
	"strings"
	"syscall"

	"github.com/jackc/pgx/v5/pgconn"
)

// PostgreSQL's error codes (postgresql.org/docs/current/errcodes-appendix.html).
const (
	codeUniqueViolation = "23505"
	codeUndefinedTable  = "42P01"
)

// postgresFaults gives the store's fault for each code. Two characters stand for a whole class.
var postgresFaults = [...]struct {
	code  string
	fault error
}{
	{"55P03", ErrBusy},     // lock not available in time
	{"40001", ErrBusy},     // serialization failure
	{"40P01", ErrBusy},     // deadlock
	{"53100", ErrFull},     // disk full
	{"25006", ErrReadOnly}, // a standby, or set to be read-only
	{"42501", ErrReadOnly}, // no right to the table
	{"58030", ErrDisk},
	{"XX001", ErrDamaged},
	{"XX002", ErrDamaged},
	{"08", ErrUnreachable},
	{"53300", ErrUnreachable}, // no connection is free
	{"57P", ErrUnreachable},   // shutting down or starting
	{"25P03", ErrUnreachable}, // the program stopped in a transaction for too long
	{"28", ErrNotLetIn},
	{"3D000", ErrNoDatabase},
}

// postgresFault returns which of the store's faults an error of PostgreSQL or of the network is, nil if none.
func postgresFault(err error) error {
	if refused, is := errors.AsType[*pgconn.PgError](err); is {
		for _, f := range postgresFaults {
			if strings.HasPrefix(refused.Code, f.code) {
				return f.fault
			}
		}
		return nil
	}
	_, connecting := errors.AsType[*pgconn.ConnectError](err)
	network, is := errors.AsType[net.Error](err)
	if connecting || is && !network.Timeout() ||
		errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, syscall.EPIPE) || errors.Is(err, syscall.ECONNRESET) {
		return ErrUnreachable
	}
	return nil
}

func isUniqueInPostgres(err error) bool { return hasCode(err, codeUniqueViolation) }

func hasCode(err error, code string) bool {
	refused, is := errors.AsType[*pgconn.PgError](err)
	return is && refused.Code == code
}
