package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"slices"
	"strings"

	"holdbench/internal/calc"
)

// Product is a gel that the community names.
type Product struct {
	ID           int64
	Number       int64 // the community's own: 1, 2, 3 as added; 0 not stored
	Name         string
	Class        calc.GelClass // calc.UnknownGel if empty
	Aliases      []string      // other names, the usual first
	FirstStocked string        // day, 2006-01-02; "" not recorded
}

// Limits on names: long enough for any box, short enough for a button.
const (
	maxName    = 80
	maxAliases = 20
)

// Validate returns a *FieldError unless p could be a product.
func (p Product) Validate() error {
	if err := checkName("product name", p.Name, maxName); err != nil {
		return err
	}
	if !p.Class.Valid() {
		return refuse("gel class", "%q is not one of %s", p.Class, listed(calc.GelClasses()))
	}
	if p.FirstStocked != "" {
		if err := checkDay("first stocked", p.FirstStocked); err != nil {
			return err
		}
	}
	if len(p.Aliases) > maxAliases {
		return refuse("alias", "there are more than %d", maxAliases)
	}
	keys := map[string]bool{fold(p.Name): true}
	for _, alias := range p.Aliases {
		if err := checkName("alias", alias, maxName); err != nil {
			return err
		}
		if strings.Contains(alias, aliasBreak) {
			return refuse("alias", "%q has a semicolon, which separates aliases in files", alias)
		}
		if keys[fold(alias)] {
			return refuse("alias", "%q stands there twice", alias)
		}
		keys[fold(alias)] = true
	}
	return nil
}

// filled puts in what was left out and tidies the spacing.
func (p Product) filled() Product {
	p.Name, p.FirstStocked = tidy(p.Name), strings.TrimSpace(p.FirstStocked)
	if p.Class == "" {
		p.Class = calc.UnknownGel
	}
	aliases := make([]string, 0, len(p.Aliases))
	for _, alias := range p.Aliases {
		aliases = append(aliases, tidy(alias))
	}
	p.Aliases = slices.Clip(aliases)
	if len(aliases) == 0 {
		p.Aliases = nil
	}
	return p
}

// AddProduct adds a product and returns it as stored.
//
// Errors: *FieldError; ErrDuplicate if its name or one of its aliases is taken,
// letter case and spacing ignored.
func (g *Group) AddProduct(ctx context.Context, p Product) (added Product, err error) {
	defer wrap(&err, "add product")
	err = g.store.inTx(ctx, func(q querier) error {
		added, err = g.addProduct(ctx, q, p)
		return err
	})
	return added, err
}

func (g *Group) addProduct(ctx context.Context, q querier, p Product) (Product, error) {
	p = p.filled()
	if err := p.Validate(); err != nil {
		return Product{}, err
	}
	if err := g.checkProductsApart(ctx, q, p); err != nil {
		return Product{}, err
	}
	err := q.row(ctx, `
		INSERT INTO products (number, community_id, gel_class, first_stocked)
		VALUES ((SELECT COALESCE(MAX(number), 0) + 1 FROM products WHERE community_id = ?), ?, ?, ?)
		RETURNING id, number`, g.id, g.id, p.Class, p.FirstStocked,
	).Scan(&p.ID, &p.Number)
	if err != nil {
		return Product{}, err
	}
	if err := g.nameProduct(ctx, q, p); err != nil {
		return Product{}, err
	}
	return p, g.bumpVocabulary(ctx, q)
}

// nameProduct writes the name and the aliases of a product.
func (g *Group) nameProduct(ctx context.Context, q querier, p Product) error {
	for position, name := range append([]string{p.Name}, p.Aliases...) {
		_, err := q.exec(ctx, `
			INSERT INTO product_names (community_id, name_key, product_id, name, position)
			VALUES (?, ?, ?, ?, ?)`, g.id, fold(name), p.ID, name, position)
		if err != nil {
			return err
		}
	}
	return nil
}

// UpdateProduct replaces the name, class, aliases and first day of the product
// with p.ID. Its tests stay with it; another class has it estimated anew.
//
// Errors: *FieldError; ErrNotFound; ErrDuplicate as for AddProduct.
func (g *Group) UpdateProduct(ctx context.Context, p Product) (updated Product, err error) {
	defer wrap(&err, "update product")
	err = g.store.inTx(ctx, func(q querier) error {
		updated, err = g.updateProduct(ctx, q, p)
		return err
	})
	return updated, err
}

func (g *Group) updateProduct(ctx context.Context, q querier, p Product) (Product, error) {
	p = p.filled()
	if err := p.Validate(); err != nil {
		return Product{}, err
	}
	if err := g.checkProductsApart(ctx, q, p); err != nil {
		return Product{}, err
	}
	err := q.row(ctx, `
		UPDATE products
		SET log_version = log_version + CASE WHEN gel_class = ? THEN 0 ELSE 1 END,
		    gel_class = ?, first_stocked = ?
		WHERE community_id = ? AND id = ? AND merged_into IS NULL
		RETURNING number`, p.Class, p.Class, p.FirstStocked, g.id, p.ID,
	).Scan(&p.Number)
	if errors.Is(err, sql.ErrNoRows) {
		return Product{}, notFound("product")
	}
	if err != nil {
		return Product{}, err
	}
	if _, err := q.exec(ctx, `
		UPDATE tested_combinations SET gel_class = ?
		WHERE community_id = ? AND product_id = ?`, p.Class, g.id, p.ID); err != nil {
		return Product{}, err
	}
	if _, err := q.exec(ctx, `
		DELETE FROM product_names
		WHERE community_id = ? AND product_id = ?`, g.id, p.ID); err != nil {
		return Product{}, err
	}
	if err := g.nameProduct(ctx, q, p); err != nil {
		return Product{}, err
	}
	return p, g.bumpVocabulary(ctx, q)
}

// Products returns the products in the order added.
func (g *Group) Products(ctx context.Context) (products []Product, err error) {
	defer wrap(&err, "products")
	v, err := g.Vocabulary(ctx)
	if err != nil {
		return nil, err
	}
	return slices.Clone(v.Products), nil
}

// Product returns the product with that name or alias, letter case and spacing
// ignored. ErrNotFound if none.
func (g *Group) Product(ctx context.Context, name string) (p Product, err error) {
	defer wrap(&err, "product")
	v, err := g.Vocabulary(ctx)
	if err != nil {
		return Product{}, err
	}
	p, ok := v.Product(name)
	if !ok {
		return Product{}, ErrNotFound
	}
	return p, nil
}
