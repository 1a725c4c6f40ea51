package knowledge

import (
	"context"
	"strings"

	"holdbench/internal/calc"
)

// What is done to a product, for its history.
const (
	RenamedAct   Action = "renamed"
	NameAddedAct Action = "name added"
	ClassSetAct  Action = "class set"
	MergedAct    Action = "merged" // another product went into it
)

// productChange is one line of the history of a product.
type productChange struct {
	product, other int64
	action         Action
	before, after  string
	by             Member
	reason         string
}

// noteProductChange writes a line of a product's history and returns its number.
func (g *Group) noteProductChange(ctx context.Context, q querier, c productChange) (id int64, err error) {
	err = q.Row(ctx, `
		INSERT INTO product_changes (community_id, product_id, other_id, action, before, after, member_id, changed_at, reason)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?) RETURNING id`,
		g.id, c.product, nullID(c.other), c.action, c.before, c.after, c.by.ID, formatTime(g.store.now()), c.reason,
	).Scan(&id)
	return id, err
}

// changeProduct makes a traced change of one product.
func (g *Group) changeProduct(ctx context.Context, product int64, by Member, reason string,
	change func(p *Product, c *productChange) error) (changed Product, err error) {
	reason = tidy(reason)
	if err := CheckFreeText("reason", reason); err != nil {
		return Product{}, err
	}
	err = g.store.inTx(ctx, func(q querier) error {
		by, err := g.resolveMember(ctx, q, by)
		if err != nil {
			return err
		}
		p, err := g.productByID(ctx, q, product)
		if err != nil {
			return err
		}
		c := productChange{product: p.ID, by: by, reason: reason}
		p.Aliases = append([]string(nil), p.Aliases...) // the vocabulary is shared
		if err := change(&p, &c); err != nil {
			return err
		}
		if changed = p; c.action == "" {
			return nil // it is so already
		}
		if changed, err = g.updateProduct(ctx, q, p); err != nil {
			return err
		}
		_, err = g.noteProductChange(ctx, q, c)
		return err
	})
	if err != nil {
		return Product{}, err
	}
	return changed, nil
}

// productByID returns a product of this community as a transaction sees it; one
// that went into another is that other. ErrNotFound if there is none.
func (g *Group) productByID(ctx context.Context, q querier, id int64) (Product, error) {
	v, err := g.vocabulary(ctx, q)
	if err != nil {
		return Product{}, err
	}
	p, ok := pick(v.Products, v.productByID, id)
	if !ok {
		return Product{}, notFound("product")
	}
	return p, nil
}

// AddAlias gives a product another name and returns it as it is then. A name it
// goes by already changes nothing.
//
// Errors: *FieldError; ErrDuplicate if another product goes by it; ErrNotFound
// for a product or member that is not there.
func (g *Group) AddAlias(ctx context.Context, product int64, alias string, by Member) (p Product, err error) {
	defer wrap(&err, "add alias")
	return g.changeProduct(ctx, product, by, "", func(p *Product, c *productChange) error {
		if p.goesBy(alias) {
			return nil
		}
		p.Aliases = append(p.Aliases, alias)
		c.action, c.after = NameAddedAct, tidy(alias)
		return nil
	})
}

// goesBy reports whether a name is one of the product's.
func (p Product) goesBy(name string) bool {
	for _, known := range append([]string{p.Name}, p.Aliases...) {
		if fold(known) == fold(name) {
			return true
		}
	}
	return false
}

// RenameProduct gives a product another first name and returns it as it is then.
// The old one stays with it as an alias; its tests stay too.
//
// Errors: as AddAlias.
func (g *Group) RenameProduct(ctx context.Context, product int64, name string, by Member, reason string) (p Product, err error) {
	defer wrap(&err, "rename product")
	name = tidy(name)
	return g.changeProduct(ctx, product, by, reason, func(p *Product, c *productChange) error {
		if p.Name == name {
			return nil
		}
		c.action, c.before, c.after = RenamedAct, p.Name, name
		aliases := []string{asAlias(p.Name)} // the latest name first
		aliases = append(aliases, p.Aliases...)
		p.Name, p.Aliases = name, nil
		for _, alias := range aliases {
			if fold(alias) != fold(name) {
				p.Aliases = append(p.Aliases, alias)
			}
		}
		return nil
	})
}

// asAlias is a name as an alias: without the mark that separates aliases in files.
func asAlias(name string) string { return strings.ReplaceAll(name, aliasBreak, ",") }

// SetClass says of which gel class a product is and returns it as it is then. It
// is estimated anew.
//
// Errors: *FieldError for a class that is none; ErrNotFound as AddAlias.
func (g *Group) SetClass(ctx context.Context, product int64, class calc.GelClass, by Member, reason string) (p Product, err error) {
	defer wrap(&err, "set class of product %d", product)
	p, err = g.changeProduct(ctx, product, by, reason, func(p *Product, c *productChange) error {
		if !class.Valid() {
			return refuse("gel class", "%q is not one of %s", class, listed(calc.GelClasses()))
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

// reestimate has an estimate brought up to date after what it stands on changed.
// Should that fail now, the next question does it.
func (g *Group) reestimate(ctx context.Context, product int64) {
	_, _ = g.productFile(ctx, product)
}
