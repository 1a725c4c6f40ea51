package knowledge

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// postgresWords numbers the places of arguments as PostgreSQL wants them, and gives
// yes and no as the numbers that the store keeps for them.
func postgresWords(query string, args []any) (string, []any) {
	for i, arg := range args {
		if yes, is := arg.(bool); is {
			args = slices.Clone(args)
			args[i] = int64(asBit(yes))
		}
	}
	if !strings.Contains(query, "?") {
		return query, args
	}
	var b strings.Builder
	n := 0
	for _, part := range sqlParts(query) {
		if part.is("?") {
			n++
			part.text = "$" + strconv.Itoa(n)
		}
		b.WriteString(part.text)
	}
	return b.String(), args
}

// notPortable are words whose meaning PostgreSQL does not know or takes otherwise.
// A migration with one is refused rather than half understood.
var notPortable = [...]string{
	"autoincrement", "collate", "ifnull", "rowid", "last_insert_rowid", "glob", "replace", "strftime", "datetime",
	"julianday", "unixepoch", "typeof", "without", "trigger", "virtual", "pragma", "vacuum", "attach", "generated",
}

// columnTypes are the types of STRICT tables (sqlite.org/stricttables.html) by what
// keeps the same values in PostgreSQL. Text sorts by its bytes, as it does in SQLite.
var columnTypes = map[string]string{
	"INTEGER": "BIGINT",
	"REAL":    "DOUBLE PRECISION",
	"TEXT":    `TEXT COLLATE "C"`,
	"BLOB":    "BYTEA",
}

// postgresStatements puts a migration, written in the words of SQLite, into those
// of PostgreSQL, statement by statement. Only what occurs in migrations is
// understood; anything else is an error that names the statement.
func postgresStatements(migration string) (statements []string, err error) {
	for _, parts := range splitStatements(migration) {
		statement, err := postgresStatement(parts)
		if err != nil {
			return nil, fmt.Errorf("%w in: %s", err, joined(parts))
		}
		if statement != "" {
			statements = append(statements, statement)
		}
	}
	return statements, nil
}

// splitStatements leaves comments out and takes blanks together.
func splitStatements(text string) (all [][]sqlPart) {
	var one []sqlPart
	for _, part := range sqlParts(text) {
		switch {
		case part.is(";"):
			all, one = append(all, one), nil
		case part.kind == sqlComment || part.kind == sqlBlank:
			if len(one) > 0 && one[len(one)-1].kind != sqlBlank {
				one = append(one, sqlPart{sqlBlank, " "})
			}
		default:
			one = append(one, part)
		}
	}
	all = append(all, one)
	return slices.DeleteFunc(all, func(parts []sqlPart) bool { return len(parts) == 0 })
}

func joined(parts []sqlPart) string {
	var b strings.Builder
	for _, p := range parts {
		b.WriteString(p.text)
	}
	return strings.TrimSpace(b.String())
}

func postgresStatement(parts []sqlPart) (string, error) {
	s := &statementReader{parts: parts}
	switch {
	case s.next("PRAGMA", "application_id"):
		return "", nil // marks a file; the table store_version marks a schema
	case s.next("CREATE", "TABLE"):
		if err := s.table(); err != nil {
			return "", err
		}
	case s.next("ALTER", "TABLE"):
		if err := s.alter(); err != nil {
			return "", err
		}
	case s.next("CREATE", "INDEX"), s.next("CREATE", "UNIQUE", "INDEX"), s.next("DROP", "TABLE"), s.next("DROP", "INDEX"),
		s.next("INSERT", "INTO"), s.next("UPDATE"), s.next("DELETE", "FROM"), s.next("SELECT"):
		s.rest()
	default:
		return "", fmt.Errorf("a statement that is not known here")
	}
	return strings.TrimSpace(s.out.String()), s.err
}

// statementReader goes through a statement and writes it anew.
type statementReader struct {
	parts []sqlPart
	at    int
	out   strings.Builder
	err   error
}

// next takes words if they come next; nothing if not.
func (s *statementReader) next(words ...string) bool {
	at := s.at
	for _, word := range words {
		for at < len(s.parts) && s.parts[at].kind == sqlBlank {
			at++
		}
		if at == len(s.parts) || !s.parts[at].is(word) {
			return false
		}
		at++
	}
	for ; s.at < at; s.at++ {
		s.out.WriteString(s.parts[s.at].text)
	}
	return true
}

// take takes one part and the blanks before it, checking that PostgreSQL means the
// same by it.
func (s *statementReader) take() (sqlPart, bool) {
	for s.at < len(s.parts) {
		part := s.parts[s.at]
		s.at++
		s.out.WriteString(part.text)
		if part.kind == sqlBlank {
			continue
		}
		if part.kind == sqlWord && slices.Contains(notPortable[:], strings.ToLower(part.text)) || part.kind == sqlQuoted && part.text[0] == '"' {
			s.fail("%s is not portable", part.text)
		}
		return part, true
	}
	return sqlPart{}, false
}

func (s *statementReader) fail(format string, args ...any) {
	if s.err == nil {
		s.err = fmt.Errorf(format, args...)
	}
}

// rest takes what is left as it is.
func (s *statementReader) rest() {
	for {
		if _, more := s.take(); !more {
			return
		}
	}
}

// table puts what follows CREATE TABLE into PostgreSQL's words: NAME (column or
// rule, …) STRICT.
func (s *statementReader) table() error {
	s.take()
	if open, _ := s.take(); !open.is("(") {
		return fmt.Errorf("a table without columns")
	}
	for s.err == nil {
		if s.startsRule() {
			s.untilComma()
		} else {
			s.column()
		}
		if last := s.parts[s.at-1]; last.is(")") {
			break
		} else if !last.is(",") {
			return fmt.Errorf("a table that does not end")
		}
	}
	left := joined(s.parts[s.at:])
	if !strings.EqualFold(left, "STRICT") && s.err == nil {
		return fmt.Errorf("a table that is not STRICT")
	}
	return s.err
}

// startsRule reports whether a rule of the table comes next and no column.
func (s *statementReader) startsRule() bool {
	at := s.at
	for at < len(s.parts) && s.parts[at].kind == sqlBlank {
		at++
	}
	return at < len(s.parts) && slices.ContainsFunc([]string{"CHECK", "UNIQUE", "PRIMARY", "FOREIGN", "CONSTRAINT"}, s.parts[at].is)
}

// column takes a column: its name, its type, its rules.
func (s *statementReader) column() {
	s.take()
	before := s.out.String()
	kind, _ := s.take()
	is, known := columnTypes[strings.ToUpper(kind.text)]
	if !known {
		s.fail("a column of the type %q", kind.text)
		return
	}
	s.out.Reset()
	s.out.WriteString(before + " " + is)
	if kind.is("INTEGER") && s.next("PRIMARY", "KEY") {
		s.out.Reset()
		s.out.WriteString(before + " BIGINT GENERATED BY DEFAULT AS IDENTITY PRIMARY KEY")
		s.skip("AUTOINCREMENT") // numbers are never given twice there anyway
	}
	s.untilComma()
}

// skip leaves a word out, if it comes next.
func (s *statementReader) skip(word string) {
	written := s.out.String()
	if s.next(word) {
		s.out.Reset()
		s.out.WriteString(written)
	}
}

// untilComma takes what is left of a column or a rule, with the comma or the
// parenthesis after it. Rules that point at other rows can be put off to the end of
// a transaction, for those who copy a store.
func (s *statementReader) untilComma() {
	depth, pointing := 0, false
	for s.err == nil {
		part, more := s.take()
		switch {
		case !more:
			return
		case part.is("("):
			depth++
		case part.is(")") && depth == 0, part.is(",") && depth == 0:
			if pointing {
				s.fail("REFERENCES without a column")
			}
			return
		case part.is(")"):
			if depth--; depth == 0 && pointing {
				s.out.WriteString(" DEFERRABLE")
				pointing = false
			}
		case part.is("REFERENCES"):
			pointing = true
		case part.is("ON"), part.is("DEFERRABLE"), part.is("MATCH"):
			s.fail("%s after REFERENCES", part.text)
		}
	}
}

// alter puts what follows ALTER TABLE into PostgreSQL's words.
func (s *statementReader) alter() error {
	s.take()
	switch {
	case s.next("ADD", "COLUMN"):
		s.column()
	case s.next("RENAME"), s.next("DROP", "COLUMN"):
		s.rest()
	default:
		return fmt.Errorf("a change of a table that is not known here")
	}
	return s.err
}
