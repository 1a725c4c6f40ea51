package knowledge

import (
	"context"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
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
		INSERT INTO list_changes (community_id, product_id, other_id, action, before, after, member_id, changed_at, reason)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?) RETURNING id`,
		g.id, c.product, nullID(c.other), c.action, c.before, c.after, c.by.ID, formatTime(g.store.now()), c.reason,
	).Scan(&id)
	return id, err
}

// changeProduct makes a traced change of one product.
func (g *Group) changeProduct(ctx context.Context, product int64, by Member, reason string,
	change func(p *trade.Product, c *productChange) error) (changed trade.Product, err error) {
	reason = trade.Tidy(reason)
	if err := trade.CheckFreeText("reason", reason); err != nil {
		return trade.Product{}, err
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
		return trade.Product{}, err
	}
	return changed, nil
}

// productByID returns a product of this community as a transaction sees it; one
// that went into another is that other. ErrNotFound if there is none.
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

// AddAlias gives a product another name and returns it as it is then. A name it
// goes by already changes nothing.
//
// Errors: *FieldError; ErrDuplicate if another product goes by it; ErrNotFound
// for a product or member that is not there.
func (g *Group) AddAlias(ctx context.Context, product int64, alias string, by Member) (p trade.Product, err error) {
	defer wrap(&err, "add alias")
	return g.changeProduct(ctx, product, by, "", func(p *trade.Product, c *productChange) error {
		if p.GoesBy(alias) {
			return nil
		}
		p.Aliases = append(p.Aliases, alias)
		c.action, c.after = NameAddedAct, trade.Tidy(alias)
		return nil
	})
}

// RenameProduct gives a product another first name and returns it as it is then.
// The old one stays with it as an alias; its tests stay too.
//
// Errors: as AddAlias.
func (g *Group) RenameProduct(ctx context.Context, product int64, name string, by Member, reason string) (p trade.Product, err error) {
	defer wrap(&err, "rename product")
	name = trade.Tidy(name)
	return g.changeProduct(ctx, product, by, reason, func(p *trade.Product, c *productChange) error {
		if p.Name == name {
			return nil
		}
		c.action, c.before, c.after = RenamedAct, p.Name, name
		aliases := []string{asAlias(p.Name)} // the latest name first
		aliases = append(aliases, p.Aliases...)
		p.Name, p.Aliases = name, nil
		for _, alias := range aliases {
			if trade.Fold(alias) != trade.Fold(name) {
				p.Aliases = append(p.Aliases, alias)
			}
		}
		return nil
	})
}

// asAlias is a name as an alias: without the mark that separates aliases in files.
func asAlias(name string) string { return strings.ReplaceAll(name, trade.AliasBreak, ",") }

// SetClass says of which gel class a product is and returns it as it is then. It
// is estimated anew.
//
// Errors: *FieldError for a class that is none; ErrNotFound as AddAlias.
func (g *Group) SetClass(ctx context.Context, product int64, class calc.GelClass, by Member, reason string) (p trade.Product, err error) {
	defer wrap(&err, "set class of product %d", product)
	p, err = g.changeProduct(ctx, product, by, reason, func(p *trade.Product, c *productChange) error {
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

// reestimate has an estimate brought up to date after what it stands on changed.
// Should that fail now, the next question does it.
func (g *Group) reestimate(ctx context.Context, product int64) {
	_, _ = g.productFile(ctx, product, leaveIt)
}
