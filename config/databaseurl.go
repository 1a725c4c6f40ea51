package config

import (
	"net"
	"net/url"
)

// DatabaseURL is the address of a PostgreSQL database. It prints with *** for its
// password. Reveal gives all of it.
type DatabaseURL string

// Reveal returns the address with its password.
func (u DatabaseURL) Reveal() string { return string(u) }

// String returns user, host and database; *** stands for the password. What follows
// a question mark is left out: a password can stand there, too.
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

// valid reports whether it is empty or can be the address of PostgreSQL.
func (u DatabaseURL) valid() bool {
	if u == "" {
		return true
	}
	parsed, err := url.Parse(string(u))
	return err == nil && parsed.Opaque == "" && (parsed.Scheme == "postgres" || parsed.Scheme == "postgresql")
}

// unguarded reports whether a password would go over a connection that nobody
// checked: to another machine, and without an sslmode that says what is wanted.
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
