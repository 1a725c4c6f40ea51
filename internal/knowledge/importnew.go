package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"slices"

	"holdbench/internal/trade"
)

// Additions are new names that come with a file of tests. An instrument needs none: one that
// can be read is added with its first test.
type Additions struct {
	Products []trade.Product
	Members  []Member
}

func (a Additions) empty() bool { return len(a.Products)+len(a.Members) == 0 }

// fileNames are the names on a community's lists, for a file to be read by.
func (g *Group) fileNames(ctx context.Context, q querier) (n fileNames, err error) {
	members, err := g.members(ctx, q)
	if err != nil {
		return n, err
	}
	n.members = newMemberNames(members)
	n.v, err = g.vocabulary(ctx, q)
	return n, err
}

// broughtBy is who brings a file in, the zero Member for whoever runs the program.
func (g *Group) broughtBy(ctx context.Context, q querier, how Importing) (by Member, err error) {
	if how.By == (Member{}) {
		return by, nil
	}
	return g.resolveMember(ctx, q, how.By)
}

// addNew adds the names that come with a file to those it is read by, with numbers below 0
// until they are stored. The vocabulary that others share stays as it is.
func (in *testImport) addNew(ctx context.Context, q querier) error {
	if in.how.New.empty() {
		return nil
	}
	members, err := in.g.members(ctx, q)
	if err != nil {
		return err
	}
	looks := newMemberLooks(members)
	for i, m := range in.how.New.Members {
		m = m.filled()
		m.ID = int64(-1 - i)
		if _, listed := in.names.members.find(m.Ref); listed {
			continue // somebody has admitted the member meanwhile
		}
		if err := m.Validate(); err != nil {
			return err
		}
		if err := looks.check(m); err != nil {
			return err
		}
		looks.add(m)
		in.names.members.add(m)
	}
	in.names.v, err = in.withNewProducts(in.names.v)
	return err
}

// withNewProducts is a vocabulary with the products that come with a file.
func (in *testImport) withNewProducts(v *Vocabulary) (*Vocabulary, error) {
	more := &Vocabulary{Version: v.Version, Products: slices.Clone(v.Products), Instruments: v.Instruments,
		Syringes: v.Syringes, merged: v.merged}
	looks := make(productLooks)
	for _, p := range v.Products {
		looks.addNames(p)
	}
	for i, p := range in.how.New.Products {
		p = p.Filled()
		p.ID = int64(-1 - i)
		if _, listed := v.Product(p.Name); listed {
			continue
		}
		if err := p.Validate(); err != nil {
			return nil, err
		}
		if err := looks.check(p, true); err != nil {
			return nil, err
		}
		looks.add(p.ID, p.Name)
		more.Products = append(more.Products, p)
	}
	more.index()
	return more, nil
}

// addNames adds the name and the aliases of a product.
func (l productLooks) addNames(p trade.Product) {
	for _, name := range productNames(p) {
		l.add(p.ID, name)
	}
}

// storeNew stores the names that come with a file, once, and gives the tests by new members
// and of new gels the numbers that these have now.
func (in *testImport) storeNew(ctx context.Context, q querier, tests []*plannedTest) error {
	if in.how.New.empty() {
		return nil
	}
	for _, m := range in.how.New.Members {
		stored, err := in.g.memberByRef(ctx, q, m.filled().Ref)
		if errors.Is(err, sql.ErrNoRows) {
			stored, err = in.g.admit(ctx, q, m.filled())
		}
		if err != nil {
			return err
		}
		if planned, there := in.names.members.find(m.Ref); there && planned.ID < 0 {
			in.memberRows[planned.ID] = stored.ID
		}
	}
	for _, p := range in.how.New.Products {
		if err := in.storeProduct(ctx, q, p.Filled()); err != nil {
			return err
		}
	}
	for _, t := range tests {
		if id, is := in.memberRows[t.Tester.ID]; is {
			t.Tester.ID = id
		}
		if t.Combination.Product.ID < 0 {
			t.Combination.Product.ID = 0 // placeAgain finds it by its name
		}
	}
	return nil
}

// storeProduct stores a product that comes with a file, unless it is on the list by now.
func (in *testImport) storeProduct(ctx context.Context, q querier, p trade.Product) error {
	v, err := in.g.vocabulary(ctx, q)
	if err != nil {
		return err
	}
	if _, listed := v.Product(p.Name); listed {
		return nil
	}
	var others []trade.Product
	for _, name := range in.how.Apart[p.Name] {
		if other, listed := v.Product(name); listed {
			others = append(others, other)
		}
	}
	if p, err = in.g.addProduct(ctx, q, p); err != nil {
		return err
	}
	return in.g.noteBrought(ctx, q, p, in.by, others)
}

// noteBrought writes a line in the history that says who brought a new product in, if that is
// known, and tells it apart from others.
func (g *Group) noteBrought(ctx context.Context, q querier, p trade.Product, by Member, others []trade.Product) error {
	if by == (Member{}) {
		return nil
	}
	line, err := g.tellAddedApart(ctx, q, p, by, others)
	if err != nil {
		return err
	}
	_, err = g.noteListChange(ctx, q, line)
	return err
}
