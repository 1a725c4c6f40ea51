package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"slices"

	"holdbench/internal/trade"
)

// Additions are names that a file of tests brings along. An instrument needs none: one that
// can be read is added with its first test.
type Additions struct {
	Products []trade.Product
	Members  []Member
}

func (a Additions) empty() bool { return len(a.Products)+len(a.Members) == 0 }

// bring puts the names that come with a file on the lists that it is read by, with numbers
// below 0 until they are stored. The shared lists stay as they are.
func (in *testImport) bring(ctx context.Context, q querier, members []Member) (err error) {
	if in.how.By != (Member{}) {
		by, err := in.g.resolveMember(ctx, q, in.how.By)
		if err != nil {
			return err
		}
		in.by = by.ID
	}
	if in.how.New.empty() {
		return nil
	}
	looks, products := newMemberLooks(members), make(productLooks)
	for i, m := range in.how.New.Members {
		m = m.filled()
		m.ID = int64(-1 - i)
		if _, there := in.names.members.find(m.Ref); there {
			continue // put on the list meanwhile
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
	v := &Vocabulary{Version: in.names.v.Version, Products: slices.Clone(in.names.v.Products), Instruments: in.names.v.Instruments,
		Syringes: in.names.v.Syringes, merged: in.names.v.merged}
	for _, p := range v.Products {
		for _, name := range append([]string{p.Name}, p.Aliases...) {
			products.add(p.ID, name)
		}
	}
	for i, p := range in.how.New.Products {
		p = p.Filled()
		p.ID = int64(-1 - i)
		if _, there := in.names.v.Product(p.Name); there {
			continue
		}
		if err := p.Validate(); err != nil {
			return err
		}
		if err := products.check(p, true); err != nil {
			return err
		}
		products.add(p.ID, p.Name)
		v.Products = append(v.Products, p)
	}
	v.index()
	in.names.v = v
	return nil
}

// storeProduct stores a product that came with a file and returns the names as they are then.
func (in *testImport) storeProduct(ctx context.Context, q querier, v *Vocabulary,
	p trade.Product) (*Vocabulary, error) {
	var apart []int64
	for _, name := range in.how.Apart[p.Name] {
		if other, there := v.Product(name); there {
			apart = append(apart, other.ID)
		}
	}
	by, err := in.how.By, error(nil)
	if by == (Member{}) {
		_, err = in.g.addProduct(ctx, q, p)
	} else if by, err = in.g.resolveMember(ctx, q, by); err == nil {
		var line listChange
		if _, line, err = in.g.addProductApart(ctx, q, p, by, apart...); err == nil {
			_, err = in.g.noteListChange(ctx, q, line)
		}
	}
	if err != nil {
		return nil, err
	}
	return in.g.vocabulary(ctx, q)
}

// storeNew stores the names that came with a file, once, and gives tests by new members
// and of new gels their numbers.
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
			in.real[planned.ID] = stored.ID
		}
	}
	v, err := in.g.vocabulary(ctx, q)
	if err != nil {
		return err
	}
	for _, p := range in.how.New.Products {
		if _, there := v.Product(p.Name); there {
			continue
		}
		if v, err = in.storeProduct(ctx, q, v, p.Filled()); err != nil {
			return err
		}
	}
	for _, t := range tests {
		if id, is := in.real[t.Tester.ID]; is {
			t.Tester.ID = id
		}
		if t.Combination.Product.ID < 0 {
			t.Combination.Product.ID = 0 // found again by its name
		}
	}
	return nil
}
