//go:build !unix

package database

import "os"

// heldBy cannot tell on this system; SQLite's own locks are tried later.
func heldBy(string) (process int, err error) { return 0, nil }

// reserve cannot tell on this system whether another process has the name.
func reserve(*os.File, string) error { return nil }

// ownAlike does nothing: on this system a file has the rights of its folder.
func ownAlike(string, string) error { return nil }
