package knowledge

import (
	"context"
	"slices"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// changeProduct makes a change of one product with a line in the history, and tells it apart
// from others.
func (g *Group) changeProduct(ctx context.Context, product int64, by Member, reason string,
	change func(p *trade.Product, c *listChange) error, apart ...int64) (changed trade.Product, err error) {
	err = g.changeLists(ctx, by, listChange{product: product, reason: reason}, func(q querier, c *listChange) error {
		p, err := g.productByID(ctx, q, c.product)
		if err != nil {
			return err
		}
		p.Aliases = slices.Clone(p.Aliases) // the vocabulary is shared
		if err := change(&p, c); err != nil {
			return err
		}
		if changed = p; c.action == "" {
			return nil // it is so already
		}
		for _, other := range apart {
			if err := g.keepApart(ctx, q, p.ID, other); err != nil {
				return err
			}
		}
		changed, err = g.updateProduct(ctx, q, p)
		return err
	})
	if err != nil {
		return trade.Product{}, err
	}
	return changed, nil
}

// AddProductBy is AddProduct with a line in the history that says by whom. apart are products
// with nearly the same name that are other products.
//
// Errors: as AddProduct; ErrNotFound for a member or product that is not there.
func (g *Group) AddProductBy(ctx context.Context, p trade.Product, by Member, apart ...int64) (added trade.Product,
	err error) {
	defer wrap(&err, "add product")
	err = g.changeLists(ctx, by, listChange{}, func(q querier, c *listChange) (err error) {
		added, *c, err = g.addProductApart(ctx, q, p, c.by, apart...)
		return err
	})
	return added, err
}

// addProductApart adds a product and tells it apart from others. It returns the line for
// the history.
func (g *Group) addProductApart(ctx context.Context, q querier, p trade.Product, by Member,
	apart ...int64) (added trade.Product, c listChange, err error) {
	others := make([]trade.Product, len(apart)) // looked up first, so that none is the product to be added
	for i, id := range apart {
		if others[i], err = g.productByID(ctx, q, id); err != nil {
			return added, c, err
		}
	}
	if added, err = g.addProduct(ctx, q, p); err != nil {
		return added, c, err
	}
	c, err = g.tellAddedApart(ctx, q, added, by, others)
	return added, c, err
}

// tellAddedApart tells a product that was added apart from others. It returns the line for
// the history.
func (g *Group) tellAddedApart(ctx context.Context, q querier, added trade.Product, by Member,
	others []trade.Product) (listChange, error) {
	c := listChange{product: added.ID, action: AddedAct, after: described(added), by: by}
	for _, other := range others {
		if err := g.keepApart(ctx, q, other.ID, added.ID); err != nil {
			return listChange{}, err
		}
		c.other, c.after = other.ID, c.after+"; not "+other.Name
	}
	return c, nil
}

// DropAlias removes an alias of a product and returns the product without it. For the first
// name there is RenameProduct.
//
// Errors: *FieldError for a name that is no alias of it; ErrNotFound as AddAlias.
func (g *Group) DropAlias(ctx context.Context, product int64, alias string, by Member) (p trade.Product, err error) {
	defer wrap(&err, "drop alias")
	return g.changeProduct(ctx, product, by, "", func(p *trade.Product, c *listChange) error {
		i := slices.IndexFunc(p.Aliases, func(a string) bool { return trade.Fold(a) == trade.Fold(alias) })
		if i < 0 {
			return trade.Refuse("alias", "%q is no other name of %s", alias, p.Name)
		}
		c.action, c.before = NameDroppedAct, p.Aliases[i]
		p.Aliases = slices.Delete(p.Aliases, i, i+1)
		return nil
	})
}

// RetireProduct retires a product: it is no longer suggested, and no tests of it are asked
// for. Its tests stay. With back it is in use again.
//
// Errors: ErrNotFound as AddAlias.
func (g *Group) RetireProduct(ctx context.Context, product int64, back bool, by Member, reason string) (p trade.Product,
	err error) {
	defer wrap(&err, "retire product %d", product)
	day, err := g.retiringDay(ctx, back)
	if err != nil {
		return trade.Product{}, err
	}
	return g.changeProduct(ctx, product, by, reason, func(p *trade.Product, c *listChange) error {
		if (p.RetiredOn == "") == (day == "") {
			return nil
		}
		if c.action = RetiredAct; back {
			c.action = BroughtBackAct
		}
		p.RetiredOn = day
		return nil
	})
}

// retiringDay returns the day to store with what is retired today, "" for what is brought
// back.
func (g *Group) retiringDay(ctx context.Context, back bool) (string, error) {
	if back {
		return "", nil
	}
	return g.today(ctx, g.store.look())
}

// productByID returns a product of this community as q sees it. For one that was merged into
// another it returns the other. ErrNotFound if there is none.
func (g *Group) productByID(ctx context.Context, q querier, id int64) (trade.Product, error) {
	v, err := g.vocabulary(ctx, q)
	if err != nil {
		return trade.Product{}, err
	}
	p, ok := pick(v.Products, v.productByID, id)
	if !ok {
		return trade.Product{}, notFound("product")
	}
	return p, nil
}

// AddAlias gives a product another name and returns the product with it. A name that it has
// already changes nothing.
//
// Errors: *FieldError; ErrDuplicate if another product goes by it; ErrNotFound
// for a product or member that is not there.
func (g *Group) AddAlias(ctx context.Context, product int64, alias string, by Member) (p trade.Product, err error) {
	defer wrap(&err, "add alias")
	return g.changeProduct(ctx, product, by, "", func(p *trade.Product, c *listChange) error {
		if p.GoesBy(alias) {
			return nil
		}
		p.Aliases = append(p.Aliases, alias)
		c.action, c.after = NameAddedAct, trade.Tidy(alias)
		return nil
	})
}

// RenameProduct gives a product another first name and returns the product with it. The old
// name becomes an alias, and the tests stay. apart are products with nearly the new name that
// are other products.
//
// Errors: as AddAlias.
func (g *Group) RenameProduct(ctx context.Context, product int64, name string, by Member, reason string,
	apart ...int64) (p trade.Product, err error) {
	defer wrap(&err, "rename product")
	name = trade.Tidy(name)
	return g.changeProduct(ctx, product, by, reason, func(p *trade.Product, c *listChange) error {
		if p.Name == name {
			return nil
		}
		c.action, c.before, c.after = RenamedAct, p.Name, name
		aliases := []string{asAlias(p.Name)} // the latest name comes first
		aliases = append(aliases, p.Aliases...)
		p.Name, p.Aliases = name, nil
		for _, alias := range aliases {
			if trade.Fold(alias) != trade.Fold(name) {
				p.Aliases = append(p.Aliases, alias)
			}
		}
		return nil
	}, apart...)
}

// asAlias returns a name as an alias, without the mark that separates aliases in files.
func asAlias(name string) string { return strings.ReplaceAll(name, trade.AliasBreak, ",") }

// SetClass sets a product's gel class and returns the product with it. The estimate is made
// anew.
//
// Errors: *FieldError for a class that is none; ErrNotFound as AddAlias.
func (g *Group) SetClass(ctx context.Context, product int64, class calc.GelClass, by Member,
	reason string) (p trade.Product, err error) {
	defer wrap(&err, "set class of product %d", product)
	p, err = g.changeProduct(ctx, product, by, reason, func(p *trade.Product, c *listChange) error {
		if !class.Valid() {
			return trade.Refuse("gel class", "%q is not one of %s", class, trade.Listed(calc.GelClasses()))
		}
		if p.Class != class {
			c.action, c.before, c.after = ClassSetAct, string(p.Class), string(class)
		}
		p.Class = class
		return nil
	})
	if err == nil {
		g.reestimate(ctx, p.ID)
	}
	return p, err
}

// reestimate has a product's estimate made anew. If that fails, the next question does it.
func (g *Group) reestimate(ctx context.Context, product int64) {
	_, _ = g.productFile(ctx, product, leaveIt)
}
