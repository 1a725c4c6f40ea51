package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"

	"holdbench/internal/trade"
)

// FileKind is a kind of file that can be taken in.
type FileKind string

// The kinds of file, in the order in which they have to come in: tests name products,
// instruments and members.
const (
	ProductFile    FileKind = "products"
	InstrumentFile FileKind = "instruments"
	MemberFile     FileKind = "members"
	SyringeFile    FileKind = "syringes"
	StockFile      FileKind = "stock"
	TestFile       FileKind = "tests"
)

// KindOfHeading is the kind of file that has just these columns, in the spelling in which
// they are exported; "" for none.
func KindOfHeading(cells []string) FileKind {
	for _, kind := range []struct {
		kind    FileKind
		columns []column
	}{{TestFile, testTable(nil).columns()}, {StockFile, stockTable(nil).columns()}, {InstrumentFile, instrumentTable().columns()},
		{ProductFile, productTable().columns()}, {MemberFile, memberTable(nil).columns()},
		{SyringeFile, syringeTable().columns()}} {
		if names, faults := readHeading(cells, kind.columns); names != nil && len(faults) == 0 {
			return kind.kind
		}
	}
	return ""
}

// Import takes in a table of one kind, which open opens from its first row each time.
//
// Faults come back in the report with nothing stored, unless how says to skip what is bad.
// What is brought in beside tests is stored with the first of them.
func (g *Group) Import(ctx context.Context, kind FileKind, open func() (Rows, error),
	how Importing) (report ImportReport, err error) {
	defer wrap(&err, "import %s", kind)
	switch kind {
	case ProductFile:
		return g.importProducts(ctx, open, how)
	case InstrumentFile:
		return g.importInstruments(ctx, open, how)
	case MemberFile:
		return g.importMembers(ctx, open, how)
	case SyringeFile:
		return g.importSyringes(ctx, open, how)
	case StockFile:
		return g.importStock(ctx, open, how)
	case TestFile:
		return g.importTests(ctx, open, how)
	}
	return report, fmt.Errorf("no file of %q", kind)
}

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
		if _, there := in.names.find(m.Ref); there {
			continue // put on the list meanwhile
		}
		if err := m.Validate(); err != nil {
			return err
		}
		if err := looks.check(m); err != nil {
			return err
		}
		looks.add(m)
		in.names.add(m)
	}
	v := &Vocabulary{Version: in.v.Version, Products: slices.Clone(in.v.Products), Instruments: in.v.Instruments,
		Syringes: in.v.Syringes, merged: in.v.merged}
	for _, p := range v.Products {
		for _, name := range append([]string{p.Name}, p.Aliases...) {
			products.add(p.ID, name)
		}
	}
	for i, p := range in.how.New.Products {
		p = p.Filled()
		p.ID = int64(-1 - i)
		if _, there := in.v.Product(p.Name); there {
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
	in.v = v
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
func (in *testImport) storeNew(ctx context.Context, q querier, tests []plannedTest) error {
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
		if planned, there := in.names.find(m.Ref); there && planned.ID < 0 {
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
	for i := range tests {
		t := &tests[i]
		if id, is := in.real[t.Tester.ID]; is {
			t.Tester.ID = id
		}
		if t.Combination.Product.ID < 0 {
			t.Combination.Product.ID = 0 // found again by its name
		}
	}
	return nil
}
