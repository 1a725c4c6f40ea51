package knowledge

import (
	"context"
	"slices"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

func productTable() table[trade.Product] {
	return table[trade.Product]{
		words("name", func(p *trade.Product) *string { return &p.Name }),
		words("gel_class", func(p *trade.Product) *calc.GelClass { return &p.Class }),
		{name: "aliases", optional: true,
			write: func(p *trade.Product) string { return strings.Join(p.Aliases, trade.AliasBreak) }, read: readAliases},
		words("first_stocked", func(p *trade.Product) *string { return &p.FirstStocked }).optionally(),
		retired(func(p *trade.Product) *string { return &p.RetiredOn }),
	}
}

func readAliases(p *trade.Product, cell string) error {
	for alias := range strings.SplitSeq(cell, trade.AliasBreak) {
		if alias = strings.TrimSpace(alias); alias != "" {
			p.Aliases = append(p.Aliases, alias)
		}
	}
	return nil
}

func (g *Group) prepareProducts(how Importing) func(context.Context, querier) (fileImport[trade.Product,
	planned[trade.Product]], error) {
	return func(ctx context.Context, q querier) (in fileImport[trade.Product, planned[trade.Product]], err error) {
		products, err := g.readProducts(ctx, q)
		if err != nil {
			return in, err
		}
		p := productImport{apart: how.Apart, looks: make(productLooks)}
		for _, one := range products {
			p.looks.addNames(one)
		}
		if p.by, err = g.broughtBy(ctx, q, how); err != nil {
			return in, err
		}
		p.listImport = listImport[trade.Product]{names: productNames, filled: trade.Product.Filled,
			check: p.distinct, add: p.addNew, put: g.putProduct, complete: completedProduct,
			again: func(ctx context.Context, q querier, one *planned[trade.Product]) error {
				return g.checkProductsApart(ctx, q, one.is)
			}}
		in.table, in.plan, in.store = productTable(), p.planProduct, p.store
		return in, p.begin(ctx, q, g, products)
	}
}

// productImport is a file of products on its way into the store.
type productImport struct {
	listImport[trade.Product]
	by    Member              // who brings the file in, the zero Member for whoever runs the program
	apart map[string][]string // as Importing.Apart
	looks productLooks
	fresh int64 // numbers below 0 that new products have until they are stored: the last given
}

// productNames are the name and the aliases of a product.
func productNames(p trade.Product) []string { return append([]string{p.Name}, p.Aliases...) }

// planProduct refuses names that are another product's.
func (in *productImport) planProduct(p trade.Product) (*planned[trade.Product], become, error) {
	p = p.Filled()
	if err := p.Validate(); err != nil {
		return nil, 0, err
	}
	old := in.known[trade.Fold(p.Name)]
	if old != nil && trade.Fold(old.is.Name) != trade.Fold(p.Name) {
		return nil, 0, trade.Refuse("product name", "%q is another name of %s already", p.Name, old.is.Name)
	}
	for _, alias := range p.Aliases {
		if owner := in.known[trade.Fold(alias)]; owner != nil && owner != old {
			return nil, 0, trade.Refuse("alias", "%q is a name of %s already", alias, owner.is.Name)
		}
	}
	in.fresh--
	p.ID = in.fresh
	return in.plan(p)
}

// distinct refuses a product whose names look like another's.
func (in *productImport) distinct(p trade.Product) error {
	err := in.looks.check(p, false)
	if err == nil {
		in.looks.addNames(p)
	}
	return err
}

// addNew stores a new product and notes who brought it in.
func (in *productImport) addNew(ctx context.Context, q querier, p trade.Product) (trade.Product, error) {
	var others []trade.Product
	for _, name := range in.apart[p.Name] {
		if other := in.known[trade.Fold(name)]; other != nil && other.stored {
			others = append(others, other.is)
		}
	}
	p, err := in.g.insertProduct(ctx, q, p)
	if err != nil {
		return p, err
	}
	return p, in.g.noteBrought(ctx, q, p, in.by, others)
}

// completedProduct is the product on the list with what a file has beyond it.
func completedProduct(p, file trade.Product) (trade.Product, error) {
	if p.Class == calc.UnknownGel {
		p.Class = file.Class
	} else if file.Class != p.Class && file.Class != calc.UnknownGel {
		return trade.Product{}, trade.Refuse("gel class", "%s is recorded as %s, not %s", p.Name, p.Class, file.Class)
	}
	if p.FirstStocked == "" {
		p.FirstStocked = file.FirstStocked
	} else if file.FirstStocked != p.FirstStocked && file.FirstStocked != "" {
		return trade.Product{}, trade.Refuse("first stocked", "%s is recorded with %s, not %s", p.Name, p.FirstStocked,
			file.FirstStocked)
	}
	p.Aliases = slices.Clone(p.Aliases)
	for _, alias := range file.Aliases {
		if !p.GoesBy(alias) {
			p.Aliases = append(p.Aliases, alias)
		}
	}
	return p, p.Validate()
}
