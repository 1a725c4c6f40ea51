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

// productLooks are the names of products by how they are drawn.
type productLooks map[string][]productName

func (l productLooks) add(product int64, name string) {
	key := skeleton(name)
	l[key] = append(l[key], productName{product, name})
}

// check refuses a name of p that would pass for another product's. What p goes by
// already stays.
func (l productLooks) check(p trade.Product) error {
	for _, name := range append([]string{p.Name}, p.Aliases...) {
		alike, key := l[skeleton(name)], trade.Fold(name)
		if slices.ContainsFunc(alike, func(n productName) bool { return n.product == p.ID && trade.Fold(n.name) == key }) {
			continue
		}
		for _, n := range alike {
			if n.product != p.ID && trade.Fold(n.name) != key {
				return trade.Refuse("product name", "%q looks like %q, which is on the list", name, n.name)
			}
		}
	}
	return nil
}

// checkProductsApart holds the names of p against those on the list.
func (g *Group) checkProductsApart(ctx context.Context, q querier, p trade.Product) error {
	taken, err := database.Collect(ctx, q,
		func(rows *sql.Rows, n *productName) error { return rows.Scan(&n.product, &n.name) },
		`SELECT product_id, name FROM product_names WHERE community_id = ?`, g.id)
	looks := make(productLooks, len(taken))
	for _, n := range taken {
		looks.add(n.product, n.name)
	}
	if err != nil {
		return err
	}
	return looks.check(p)
}

// memberLooks are members by how their names are drawn.
type memberLooks map[string][]Member

func newMemberLooks(members []Member) memberLooks {
	l := make(memberLooks, len(members))
	for _, m := range members {
		l.add(m)
	}
	return l
}

func (l memberLooks) add(m Member) {
	key := skeleton(m.Name)
	l[key] = append(l[key], m)
}

// check refuses a name that is drawn like another member's in other letters. Two members
// of one name are told apart by their ids.
func (l memberLooks) check(m Member) error {
	for _, other := range l[skeleton(m.Name)] {
		if other.Ref != m.Ref && trade.Fold(other.Name) != trade.Fold(m.Name) {
			return trade.Refuse("member name", "looks like another member's in other letters")
		}
	}
	return nil
}

// checkMembersApart holds a member's name against those on the list.
func (g *Group) checkMembersApart(ctx context.Context, q querier, m Member) error {
	members, err := g.members(ctx, q)
	if err != nil {
		return err
	}
	return newMemberLooks(members).check(m)
}
