package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"slices"

	"holdbench/internal/trade"
)

// AddProduct adds a product and returns it as stored.
//
// Errors: *FieldError; ErrDuplicate if its name or one of its aliases is taken,
// letter case and spacing ignored.
func (g *Group) AddProduct(ctx context.Context, p trade.Product) (added trade.Product, err error) {
	defer wrap(&err, "add product")
	return resultOf(ctx, g.store.inTx, func(q querier) (trade.Product, error) {
		return g.addProduct(ctx, q, p)
	})
}

func (g *Group) addProduct(ctx context.Context, q querier, p trade.Product) (trade.Product, error) {
	p = p.Filled()
	if err := p.Validate(); err != nil {
		return trade.Product{}, err
	}
	if err := g.checkProductsApart(ctx, q, p); err != nil {
		return trade.Product{}, err
	}
	return g.insertProduct(ctx, q, p)
}

// insertProduct stores a checked product.
func (g *Group) insertProduct(ctx context.Context, q querier, p trade.Product) (trade.Product, error) {
	err := q.Row(ctx, `
		INSERT INTO products (number, community_id, gel_class, first_stocked, retired_on)
		VALUES ((SELECT COALESCE(MAX(number), 0) + 1 FROM products WHERE community_id = ?), ?, ?, ?, ?)
		RETURNING id, number`, g.id, g.id, p.Class, p.FirstStocked, p.RetiredOn,
	).Scan(&p.ID, &p.Number)
	if err != nil {
		return trade.Product{}, err
	}
	if err := g.nameProduct(ctx, q, p); err != nil {
		return trade.Product{}, err
	}
	return p, g.bumpVocabulary(ctx, q)
}

// nameProduct stores the name and the aliases of a product.
func (g *Group) nameProduct(ctx context.Context, q querier, p trade.Product) error {
	for position, name := range append([]string{p.Name}, p.Aliases...) {
		err := q.do(ctx, `
			INSERT INTO product_names (community_id, name_key, product_id, name, position)
			VALUES (?, ?, ?, ?, ?)`, g.id, trade.Fold(name), p.ID, name, position)
		if err != nil {
			return err
		}
	}
	return nil
}

// updateProduct replaces the name, class, aliases, first day in stock and retirement of the
// product with p.ID. Its tests stay. If the class changes, it is estimated anew.
//
// Errors: *FieldError; ErrNotFound; ErrDuplicate as for AddProduct.
func (g *Group) updateProduct(ctx context.Context, q querier, p trade.Product) (trade.Product, error) {
	p = p.Filled()
	if err := p.Validate(); err != nil {
		return trade.Product{}, err
	}
	if err := g.checkProductsApart(ctx, q, p); err != nil {
		return trade.Product{}, err
	}
	return g.putProduct(ctx, q, p)
}

// putProduct replaces a product by a checked one.
func (g *Group) putProduct(ctx context.Context, q querier, p trade.Product) (trade.Product, error) {
	err := q.Row(ctx, `
		UPDATE products
		SET log_version = log_version + CASE WHEN gel_class = ? THEN 0 ELSE 1 END,
		    gel_class = ?, first_stocked = ?, retired_on = ?
		WHERE community_id = ? AND id = ? AND merged_into IS NULL
		RETURNING number`, p.Class, p.Class, p.FirstStocked, p.RetiredOn, g.id, p.ID,
	).Scan(&p.Number)
	if errors.Is(err, sql.ErrNoRows) {
		return trade.Product{}, notFound("product")
	}
	if err != nil {
		return trade.Product{}, err
	}
	if err := q.do(ctx, `
		UPDATE tested_combinations SET gel_class = ?
		WHERE community_id = ? AND product_id = ?`, p.Class, g.id, p.ID); err != nil {
		return trade.Product{}, err
	}
	if err := q.do(ctx, `
		DELETE FROM product_names
		WHERE community_id = ? AND product_id = ?`, g.id, p.ID); err != nil {
		return trade.Product{}, err
	}
	if err := g.nameProduct(ctx, q, p); err != nil {
		return trade.Product{}, err
	}
	return p, g.bumpVocabulary(ctx, q)
}

// Products returns the products in the order added.
func (g *Group) Products(ctx context.Context) (products []trade.Product, err error) {
	defer wrap(&err, "products")
	v, err := g.Vocabulary(ctx)
	if err != nil {
		return nil, err
	}
	return slices.Clone(v.Products), nil
}

// Product returns the product with that name or alias, letter case and spacing
// ignored. ErrNotFound if none.
func (g *Group) Product(ctx context.Context, name string) (p trade.Product, err error) {
	defer wrap(&err, "product")
	v, err := g.Vocabulary(ctx)
	if err != nil {
		return trade.Product{}, err
	}
	p, ok := v.Product(name)
	if !ok {
		return trade.Product{}, ErrNotFound
	}
	return p, nil
}
