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

// seen is the key under which the eye cannot tell names apart: skeleton, but a nought is
// no O and a one no l, which are drawn alike and are told apart by who looks twice.
func seen(name string) string { return skeleton(figures.Replace(norm.NFKC.String(name))) }

// figures stand for characters that nothing is drawn like.
var figures = strings.NewReplacer("0", "\ue000", "1", "\ue001")

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

// check refuses a name of p that the eye cannot tell from another product's; unless it was
// asked about, one too that is merely drawn like that of a product on the list. What p
// goes by already stays.
func (l productLooks) check(p trade.Product, asked bool) error {
	for _, name := range append([]string{p.Name}, p.Aliases...) {
		alike, key := l[skeleton(name)], trade.Fold(name)
		if slices.ContainsFunc(alike, func(n productName) bool { return n.product == p.ID && trade.Fold(n.name) == key }) {
			continue
		}
		for _, n := range alike {
			switch {
			case n.product == p.ID || trade.Fold(n.name) == key:
			case seen(n.name) == seen(name):
				return trade.Refuse("product name", "%q is drawn just like %q, which is on the list, but in other "+
					"letters, of another alphabet perhaps: nobody could tell the two apart. If it is that gel, "+
					"write its name as it is listed; if it is another, give it a word more", name, n.name)
			case !asked && n.product > 0:
				return trade.Refuse("product name", "%q is nearly %q, which is on the list; if it is another gel, "+
					"add it in the chat, where it is asked about", name, n.name)
			}
		}
	}
	return nil
}

// CheckProductName refuses a name that the eye cannot tell from that of another product
// on the list than the one of that number, 0 for one that is new.
//
// Errors: *FieldError.
func (g *Group) CheckProductName(ctx context.Context, product int64, name string) (err error) {
	defer wrap(&err, "check a product's name")
	return g.checkProductsApart(ctx, g.store.look(), trade.Product{ID: product, Name: name})
}

// checkProductsApart holds the names of p against those on the list. Whoever asks has asked
// about one that is merely alike.
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
	return looks.check(p, true)
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
