package durability

import (
	"context"
	"database/sql"
	"fmt"
	"io"
	"os"
)

// holdLock takes the write lock of the file, prints that it has it, and releases it when its
// input ends.
func holdLock(ctx context.Context, path string) error {
	db, err := sql.Open("sqlite3", "file:"+path+"?_txlock=immediate&_busy_timeout=5000")
	if err != nil {
		return err
	}
	defer db.Close()
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	fmt.Println("held")
	if _, err := io.Copy(io.Discard, os.Stdin); err != nil {
		return err
	}
	return tx.Rollback()
}
