// Package database keeps a store in a SQLite file or in a PostgreSQL database. It opens, migrates, locks, backs up,
// restores, inspects and copies a store, and says what an engine's error means. It does not know what the rows are
// about: the caller that opens a store passes its [Schema].
//
// SQL is written once, in the dialect that both engines take, with ? for each argument. Migrations are written for each
// engine, in a folder each, and applied by github.com/pressly/goose.
package database
