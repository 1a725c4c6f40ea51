// Package database keeps rows in a file of SQLite or on a server of PostgreSQL. It
// opens, migrates, locks, backs up, restores, inspects and copies a store, and says
// what an engine's fault means. It does not know what the rows are about: whoever
// opens a store hands over its [Schema].
//
// SQL is written once, in what both engines take, with ? for each argument. The
// migrations are written for each engine, in a folder each, and applied by
// github.com/pressly/goose.
package database
