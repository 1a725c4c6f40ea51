package knowledge

import (
	"context"
	"database/sql"
	"slices"
	"strings"

	"github.com/mtibben/confusables"
	"golang.org/x/text/unicode/norm"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// skeleton is the key under which names look the same: letters that are drawn alike
// are one, letter case, spacing and invisible characters do not count. Skeletons are
// those of Unicode Technical Standard 39, section 4, by the table of the library
// (Unicode 13). Capitals are taken first, for a capital I is drawn like a small l.
func skeleton(name string) string {
	return confusables.Skeleton(trade.Fold(confusables.Skeleton(norm.NFKC.String(trade.Visible(name)))))
}

// checkNotFormer refuses the name by which erased members go, however it is drawn. A
// file of the group's own has them by their numbers.
func (m Member) checkNotFormer() error {
	if m.former() && m.Name == m.Ref {
		return nil
	}
	if key := skeleton(m.Name); key == skeleton(FormerMember) || strings.HasPrefix(key, skeleton(formerPrefix)) {
		return trade.Refuse("member name", "is kept for members who were erased")
	}
	return nil
}

// productName is a name or an alias and whose it is.
type productName struct {
	product int64
	name    string
}

// checkProductsApart refuses a name of p that would pass for another product's. What
// p goes by already stays.
func (g *Group) checkProductsApart(ctx context.Context, q querier, p trade.Product) error {
	taken, err := database.Collect(ctx, q, func(rows *sql.Rows, n *productName) error { return rows.Scan(&n.product, &n.name) },
		`SELECT product_id, name FROM product_names WHERE community_id = ?`, g.id)
	if err != nil {
		return err
	}
	looks := map[string]string{}
	for _, name := range append([]string{p.Name}, p.Aliases...) {
		if !slices.ContainsFunc(taken, func(n productName) bool { return n.product == p.ID && trade.Fold(n.name) == trade.Fold(name) }) {
			looks[skeleton(name)] = name
		}
	}
	for _, n := range taken {
		if mine, alike := looks[skeleton(n.name)]; alike && n.product != p.ID && trade.Fold(n.name) != trade.Fold(mine) {
			return trade.Refuse("product name", "%q looks like %q, which is on the list", mine, n.name)
		}
	}
	return nil
}

// checkMembersApart refuses a member's name that is drawn like another member's in
// other letters. Two members of one name are told apart by their ids.
func (g *Group) checkMembersApart(ctx context.Context, q querier, m Member) error {
	members, err := g.members(ctx, q)
	if err != nil {
		return err
	}
	look := skeleton(m.Name)
	for _, other := range members {
		if other.Ref != m.Ref && trade.Fold(other.Name) != trade.Fold(m.Name) && skeleton(other.Name) == look {
			return trade.Refuse("member name", "looks like another member's in other letters")
		}
	}
	return nil
}
