//go:build !unix

package database

import "os"

// heldBy cannot tell here; SQLite's own locks are asked later.
func heldBy(string) (process int, err error) { return 0, nil }

// reserve cannot tell here whether another process has the name.
func reserve(*os.File, string) error { return nil }

// ownAlike has nothing to do: a file has the rights of its folder.
func ownAlike(string, string) error { return nil }
