package knowledge

import (
	"context"
	"database/sql"
	"slices"
	"strings"
	"unicode"

	"github.com/mtibben/confusables"
	"golang.org/x/text/unicode/norm"
)

// skeleton is the key under which names look the same: letters that are drawn alike
// are one, letter case, spacing and invisible characters do not count. Skeletons are
// those of Unicode Technical Standard 39, section 4, by the table of the library
// (Unicode 13). Capitals are taken first, for a capital I is drawn like a small l.
func skeleton(name string) string {
	return confusables.Skeleton(fold(confusables.Skeleton(norm.NFKC.String(visible(name)))))
}

// visible is a text without characters that are not drawn, those aside that
// checkCharacters refuses everywhere. U+115F, U+1160, U+3164 and
// U+FFA0 are letters by Unicode's properties, and blank; U+2800 is a blank sign.
func visible(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Bidi_Control, r) {
			return r
		}
		if unicode.In(r, unicode.Cf, unicode.Other_Default_Ignorable_Code_Point, unicode.Variation_Selector) ||
			strings.ContainsRune("\u115f\u1160\u3164\uffa0\u2800", r) {
			return -1
		}
		return r
	}, text)
}

// checkDrawn refuses a name with characters that are not drawn: two names could
// differ by them alone.
func checkDrawn(field, name string) error {
	if visible(name) != name {
		return refuse(field, "has a character that cannot be seen; please type it anew")
	}
	return nil
}

// checkNotFormer refuses the name by which erased members go, however it is drawn. A
// file of the group's own has them by their numbers.
func (m Member) checkNotFormer() error {
	if m.former() && m.Name == m.Ref {
		return nil
	}
	if key := skeleton(m.Name); key == skeleton(FormerMember) || strings.HasPrefix(key, skeleton(formerPrefix)) {
		return refuse("member name", "is kept for members who were erased")
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
func (g *Group) checkProductsApart(ctx context.Context, q querier, p Product) error {
	taken, err := collect(ctx, q, func(rows *sql.Rows, n *productName) error { return rows.Scan(&n.product, &n.name) },
		`SELECT product_id, name FROM product_names WHERE community_id = ?`, g.id)
	if err != nil {
		return err
	}
	looks := map[string]string{}
	for _, name := range append([]string{p.Name}, p.Aliases...) {
		if !slices.ContainsFunc(taken, func(n productName) bool { return n.product == p.ID && fold(n.name) == fold(name) }) {
			looks[skeleton(name)] = name
		}
	}
	for _, n := range taken {
		if mine, alike := looks[skeleton(n.name)]; alike && n.product != p.ID && fold(n.name) != fold(mine) {
			return refuse("product name", "%q looks like %q, which is on the list", mine, n.name)
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
		if other.Ref != m.Ref && fold(other.Name) != fold(m.Name) && skeleton(other.Name) == look {
			return refuse("member name", "looks like another member's in other letters")
		}
	}
	return nil
}
