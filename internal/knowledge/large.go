package knowledge

import (
	"context"
	"database/sql"

	"holdbench/internal/database"
)

// mostLarge is how many products are read before the first question: ten files of 10 000 tests fill the cache
// (mostFileBytes).
const mostLarge = 10

// ReadLarge reads the files of the products with the most tests into memory. Otherwise the first questions after a
// start would all wait for them.
func (s *Store) ReadLarge(ctx context.Context) (err error) {
	defer wrap(&err, "read large products")
	type large struct {
		group   *Group
		product int64
	}
	all, err := database.Collect(ctx, s.look(), func(rows *sql.Rows, l *large) error {
		var id int64
		var ref string
		if err := rows.Scan(&id, &ref, &l.product); err != nil {
			return err
		}
		l.group = s.group(id, ref)
		return nil
	}, `
		SELECT c.id, c.ref, p.id
		FROM products p
		JOIN communities c ON c.id = p.community_id
		WHERE p.kept_tests >= ? AND c.left_at = ''
		ORDER BY p.kept_tests DESC, p.id
		LIMIT ?`, longFrom, mostLarge)
	for _, l := range all {
		if err != nil {
			return err
		}
		_, err = l.group.productFile(ctx, l.product, wait)
	}
	return err
}
