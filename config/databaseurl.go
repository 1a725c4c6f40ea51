package config

import (
	"net"
	"net/url"
)

// DatabaseURL is the address of a PostgreSQL database. It prints with *** in place of the password; Reveal returns the
// whole address.
type DatabaseURL string

// Reveal returns the address with its password.
func (u DatabaseURL) Reveal() string { return string(u) }

// String returns user, host and database, with *** in place of the password. It leaves out the query, which can hold a
// password, too.
func (u DatabaseURL) String() string {
	if u == "" {
		return ""
	}
	parsed, err := url.Parse(string(u))
	if err != nil || parsed.Opaque != "" {
		return hidden
	}
	user := ""
	if parsed.User != nil {
		user = url.User(parsed.User.Username()).String()
		if _, set := parsed.User.Password(); set {
			user += ":" + hidden
		}
		user += "@"
	}
	return parsed.Scheme + "://" + user + parsed.Host + parsed.EscapedPath()
}

// GoString keeps %#v from showing the password.
func (u DatabaseURL) GoString() string { return u.String() }

// MarshalText keeps encoders, the log's among them, from showing the password.
func (u DatabaseURL) MarshalText() ([]byte, error) { return []byte(u.String()), nil }

// valid reports whether it is empty or a PostgreSQL address.
func (u DatabaseURL) valid() bool {
	if u == "" {
		return true
	}
	parsed, err := url.Parse(string(u))
	return err == nil && parsed.Opaque == "" && (parsed.Scheme == "postgres" || parsed.Scheme == "postgresql")
}

// unguarded reports whether a password would go to another machine although no sslmode says how the connection is
// checked.
func (u DatabaseURL) unguarded() bool {
	parsed, err := url.Parse(string(u))
	if err != nil || u == "" {
		return false
	}
	_, inUser := parsed.User.Password()
	asked := parsed.Query()
	if !inUser && !asked.Has("password") || asked.Has("sslmode") {
		return false
	}
	host := parsed.Hostname()
	if named := asked.Get("host"); named != "" {
		host = named
	}
	address := net.ParseIP(host)
	onThisMachine := host == "" || host == "localhost" || host[0] == '/' || address != nil && address.IsLoopback()
	return !onThisMachine
}
