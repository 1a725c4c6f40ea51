//go:build !unix

package database

// heldBy cannot tell here; SQLite's own locks are asked later.
func heldBy(string) (process int, err error) { return 0, nil }
