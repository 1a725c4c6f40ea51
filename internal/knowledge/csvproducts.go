package knowledge

import (
	"context"
	"io"
	"slices"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

func productColumns() []column {
	return []column{{name: "name"}, {name: "gel_class"}, {"aliases", true}, {"first_stocked", true}}
}

// ExportProducts writes the products in the order added.
func (g *Group) ExportProducts(ctx context.Context, w io.Writer) (err error) {
	defer wrap(&err, "export products")
	products, err := g.Products(ctx)
	if err != nil {
		return err
	}
	sheet := newSheetWriter(w, productColumns())
	for _, p := range products {
		sheet.row(p.Name, string(p.Class), strings.Join(p.Aliases, trade.AliasBreak), p.FirstStocked)
	}
	return sheet.close()
}

// ImportProducts adds the products of a file. One that is on the list already
// gets the aliases, the class and the first day that were not recorded yet; a
// file that contradicts what is recorded is at fault there.
//
// Faults come back in the report with nothing stored, unless skipBad is set.
func (g *Group) ImportProducts(ctx context.Context, r io.Reader, skipBad bool) (report ImportReport, err error) {
	defer wrap(&err, "import products")
	return g.importSheet(ctx, r, productColumns(), skipBad, func(ctx context.Context, q querier) (func(sheetRow) (become, error), error) {
		products, err := g.readProducts(ctx, q)
		if err != nil {
			return nil, err
		}
		known := newProductNames(products)
		return func(row sheetRow) (become, error) { return g.importProduct(ctx, q, known, readProduct(row)) }, nil
	})
}

func readProduct(row sheetRow) trade.Product {
	p := trade.Product{Name: row.get("name"), Class: calc.GelClass(row.get("gel_class")), FirstStocked: row.get("first_stocked")}
	for _, alias := range strings.Split(row.get("aliases"), trade.AliasBreak) {
		if alias = strings.TrimSpace(alias); alias != "" {
			p.Aliases = append(p.Aliases, alias)
		}
	}
	return p.Filled()
}

// productNames is every name and alias taken, while a file is read.
type productNames map[string]*trade.Product

func newProductNames(products []trade.Product) productNames {
	names := make(productNames)
	for i := range products {
		names.take(&products[i])
	}
	return names
}

func (n productNames) take(p *trade.Product) {
	n[trade.Fold(p.Name)] = p
	for _, alias := range p.Aliases {
		n[trade.Fold(alias)] = p
	}
}

// importProduct adds a product or fills in what was not recorded of it.
func (g *Group) importProduct(ctx context.Context, q querier, known productNames, p trade.Product) (become, error) {
	if err := p.Validate(); err != nil {
		return 0, err
	}
	old := known[trade.Fold(p.Name)]
	if old != nil && trade.Fold(old.Name) != trade.Fold(p.Name) {
		return 0, trade.Refuse("product name", "%q is another name of %s already", p.Name, old.Name)
	}
	for _, alias := range p.Aliases {
		if owner := known[trade.Fold(alias)]; owner != nil && owner != old {
			return 0, trade.Refuse("alias", "%q is a name of %s already", alias, owner.Name)
		}
	}
	if old == nil {
		stored, err := g.addProduct(ctx, q, p)
		if err != nil {
			return 0, err
		}
		known.take(&stored)
		return added, nil
	}
	merged, err := filledUp(*old, p)
	if err != nil {
		return 0, err
	}
	if merged.Class == old.Class && merged.FirstStocked == old.FirstStocked && len(merged.Aliases) == len(old.Aliases) {
		return already, nil
	}
	if merged, err = g.updateProduct(ctx, q, merged); err != nil {
		return 0, err
	}
	*old = merged
	known.take(old)
	return changed, nil
}

// filledUp returns the stored product with what a file has beyond it.
func filledUp(p, file trade.Product) (trade.Product, error) {
	if p.Class == calc.UnknownGel {
		p.Class = file.Class
	} else if file.Class != p.Class && file.Class != calc.UnknownGel {
		return trade.Product{}, trade.Refuse("gel class", "%s is recorded as %s, not %s", p.Name, p.Class, file.Class)
	}
	if p.FirstStocked == "" {
		p.FirstStocked = file.FirstStocked
	} else if file.FirstStocked != p.FirstStocked && file.FirstStocked != "" {
		return trade.Product{}, trade.Refuse("first stocked", "%s is recorded with %s, not %s", p.Name, p.FirstStocked, file.FirstStocked)
	}
	has := map[string]bool{trade.Fold(p.Name): true}
	for _, alias := range p.Aliases {
		has[trade.Fold(alias)] = true
	}
	p.Aliases = slices.Clone(p.Aliases)
	for _, alias := range file.Aliases {
		if !has[trade.Fold(alias)] {
			p.Aliases = append(p.Aliases, alias)
		}
	}
	return p, p.Validate()
}
