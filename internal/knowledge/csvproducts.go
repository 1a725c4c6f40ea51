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
	plannedProduct], error) {
	return func(ctx context.Context, q querier) (in fileImport[trade.Product, plannedProduct], err error) {
		products, err := g.readProducts(ctx, q)
		if err != nil {
			return in, err
		}
		lists := productImport{g: g, apart: how.Apart, known: make(map[string]*plannedProduct), looks: make(productLooks)}
		if lists.by, err = g.broughtBy(ctx, q, how); err != nil {
			return in, err
		}
		for _, p := range products {
			lists.know(&plannedProduct{Product: p, stored: true})
		}
		in.table, in.plan, in.store = productTable(), lists.plan, lists.store
		lists.version, err = g.vocabularyVersion(ctx, q)
		return in, err
	}
}

// productImport is a file of products on its way into the store, with every name that is taken.
type productImport struct {
	g       *Group
	by      Member                     // who brings the file in, the zero Member for whoever runs the program
	apart   map[string][]string        // as Importing.Apart
	known   map[string]*plannedProduct // by folded name and alias
	looks   productLooks
	fresh   int64 // numbers below 0 that new products have until they are stored: the last given
	version int64 // of the vocabulary that the names were checked against
}

// plannedProduct is a product of the list or of the file.
type plannedProduct struct {
	trade.Product
	stored, waits bool // it is in the store; it waits to be stored
}

func (in *productImport) know(p *plannedProduct) {
	for _, name := range append([]string{p.Name}, p.Aliases...) {
		in.known[trade.Fold(name)] = p
	}
	in.looks.addNames(p.Product)
}

// plan plans to add a product, or to fill in what was not recorded of it.
func (in *productImport) plan(p trade.Product) (*plannedProduct, become, error) {
	p = p.Filled()
	if err := p.Validate(); err != nil {
		return nil, 0, err
	}
	old := in.known[trade.Fold(p.Name)]
	if old != nil && trade.Fold(old.Name) != trade.Fold(p.Name) {
		return nil, 0, trade.Refuse("product name", "%q is another name of %s already", p.Name, old.Name)
	}
	for _, alias := range p.Aliases {
		if owner := in.known[trade.Fold(alias)]; owner != nil && owner != old {
			return nil, 0, trade.Refuse("alias", "%q is a name of %s already", alias, owner.Name)
		}
	}
	if old == nil {
		in.fresh--
		p.ID = in.fresh
		old = &plannedProduct{Product: p}
	} else {
		merged, err := completedProduct(old.Product, p)
		if err != nil {
			return nil, 0, err
		}
		if merged.Class == old.Class && merged.FirstStocked == old.FirstStocked &&
			len(merged.Aliases) == len(old.Aliases) {
			return nil, already, nil
		}
		p = merged
	}
	if err := in.looks.check(p, false); err != nil {
		return nil, 0, err
	}
	old.Product = p
	in.know(old)
	if old.waits {
		return nil, changed, nil // it is stored with an earlier line
	}
	old.waits = true
	if old.stored {
		return old, changed, nil
	}
	return old, added, nil
}

// store stores products whose names were checked against the list. If the list has changed
// since, it checks each of them again.
func (in *productImport) store(ctx context.Context, q querier, products []*plannedProduct) (all []become, err error) {
	version, err := in.g.vocabularyVersion(ctx, q)
	if err != nil {
		return nil, err
	}
	checked := version == in.version
	for _, p := range products {
		put, became := in.g.putProduct, changed
		if !p.stored {
			put, became = in.g.insertProduct, added
		}
		if !checked {
			if err := in.g.checkProductsApart(ctx, q, p.Product); err != nil {
				return nil, err
			}
		}
		if p.Product, err = put(ctx, q, p.Product); err != nil {
			return nil, err
		}
		if became == added {
			if err := in.g.noteBrought(ctx, q, p.Product, in.by, in.othersOf(p.Product)); err != nil {
				return nil, err
			}
		}
		p.stored, p.waits = true, false
		all = append(all, became)
	}
	in.version, err = in.g.vocabularyVersion(ctx, q)
	if !checked {
		in.version = version // not the one that was read: check the next part as well
	}
	return all, err
}

// othersOf are the stored products that a new one looks like and is not.
func (in *productImport) othersOf(p trade.Product) (others []trade.Product) {
	for _, name := range in.apart[p.Name] {
		if other := in.known[trade.Fold(name)]; other != nil && other.stored && other.ID != p.ID {
			others = append(others, other.Product)
		}
	}
	return others
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
