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

// skeleton is the key under which names look the same: letters that are drawn alike are one,
// and letter case, spacing and invisible characters do not count. Skeletons are those of
// Unicode Technical Standard 39, section 4, by the library's table (Unicode 13). Capitals
// are replaced before folding, because a capital I is drawn like a small l.
func skeleton(name string) string {
	return confusables.Skeleton(trade.Fold(confusables.Skeleton(norm.NFKC.String(trade.Visible(name)))))
}

// seen is the key under which the eye cannot tell names apart. It is skeleton, except that 0
// is no O and 1 is no l: whoever looks twice can tell those apart.
func seen(name string) string { return skeleton(figures.Replace(norm.NFKC.String(name))) }

// figures replaces 0 and 1 by characters that nothing is drawn like.
var figures = strings.NewReplacer("0", "\ue000", "1", "\ue001")

// checkNotFormer refuses the name of erased members, however it is drawn. Only a file of the
// group's own has them, with their numbers.
func (m Member) checkNotFormer() error {
	if m.former() && m.Name == m.Ref {
		return nil
	}
	if key := skeleton(m.Name); key == skeleton(FormerMember) || strings.HasPrefix(key, skeleton(formerPrefix)) {
		return trade.Refuse("member name", "is kept for members who were erased")
	}
	return nil
}

// productName is a name or an alias of a product.
type productName struct {
	product int64
	name    string
}

// productLooks are the names of products by their skeletons.
type productLooks map[string][]productName

func (l productLooks) add(product int64, name string) {
	key := skeleton(name)
	l[key] = append(l[key], productName{product, name})
}

// check refuses a name of p that the eye cannot tell from another product's. If nobody was
// asked, it also refuses a name with the same skeleton as that of a listed product. Names
// that p has already are not checked.
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

// CheckProductName refuses a name that the eye cannot tell from another listed product's.
// product is the number of the one to be named, 0 for a new one.
//
// Errors: *FieldError.
func (g *Group) CheckProductName(ctx context.Context, product int64, name string) (err error) {
	defer wrap(&err, "check a product's name")
	return g.checkProductsApart(ctx, g.store.look(), trade.Product{ID: product, Name: name})
}

// checkProductsApart checks the names of p against the list. The caller has asked about
// names that are merely alike.
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

// memberLooks are members by the skeletons of their names.
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

// check refuses a name that is drawn like another member's in other letters. Two members may
// have the same name: their ids tell them apart.
func (l memberLooks) check(m Member) error {
	for _, other := range l[skeleton(m.Name)] {
		if other.Ref != m.Ref && trade.Fold(other.Name) != trade.Fold(m.Name) {
			return trade.Refuse("member name", "looks like another member's in other letters")
		}
	}
	return nil
}

// checkMembersApart checks a member's name against those of the others.
func (g *Group) checkMembersApart(ctx context.Context, q querier, m Member) error {
	members, err := g.members(ctx, q)
	if err != nil {
		return err
	}
	return newMemberLooks(members).check(m)
}
