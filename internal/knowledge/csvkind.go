package knowledge

import (
	"context"
	"fmt"
	"io"
)

// FileKind is a kind of file that is written, by what stands in its lines.
type FileKind string

// The kinds of file. A history is for reading, not for importing.
const (
	ProductFile    FileKind = "products"
	InstrumentFile FileKind = "instruments"
	MemberFile     FileKind = "members"
	SyringeFile    FileKind = "syringes"
	StockFile      FileKind = "stock"
	TestFile       FileKind = "tests"
	HistoryFile    FileKind = "history"
)

// ImportKinds are the kinds that can be imported, in the order in which they have to come in:
// tests name products, instruments and members.
func ImportKinds() []FileKind {
	return []FileKind{ProductFile, InstrumentFile, MemberFile, SyringeFile, StockFile, TestFile}
}

// KindOfHeading is the kind of file that has just these columns, in the spelling in which
// they are exported; "" for none.
func KindOfHeading(cells []string) FileKind {
	for kind, fits := range map[FileKind]func([]string) bool{
		ProductFile: productTable().fits, InstrumentFile: instrumentTable().fits, MemberFile: memberTable(nil).fits,
		SyringeFile: syringeTable().fits, StockFile: stockTable(fileNames{}).fits, TestFile: testTable(fileNames{}).fits,
	} {
		if fits(cells) {
			return kind // each kind has a column that no other has
		}
	}
	return ""
}

// Import takes in a table of one kind, which open opens from its first row each time.
//
// Lists: a product, instrument or syringe that is on the list already gets what was not
// recorded of it yet; a line that contradicts what is recorded is a fault. What is in use
// stays in use whatever the file says: only a trainer retires it. A member is admitted by the
// name in the file, which becomes the platform id as well; one who is there already gets the
// role.
//
// Stock and tests: members and products must be on their lists, unless how brings them. An
// instrument may be left out of stock (not said). A pull that is not recorded is taken as
// calc.DefaultPull. Two lines with the same content are two tests. Only as many of them are
// added as the file has more of than the store, withdrawn ones counted, so that importing a
// file again adds nothing. Film and lot are no part of the content: a test that is there
// without them gets those of the line. Estimates are computed once per product, at the end.
//
// Faults come back in the report with nothing stored, unless how says to skip bad rows. Of
// more than testsAtOnce tests each so many become visible at once, and others write in
// between; if the import fails or is killed in between, they are taken away again.
//
// Errors: ErrImporting while another file of tests comes in.
func (g *Group) Import(ctx context.Context, kind FileKind, open func() (Rows, error),
	how Importing) (report ImportReport, err error) {
	defer wrap(&err, "import %s", kind)
	switch kind {
	case ProductFile:
		return importFile(ctx, g, open, how, g.prepareProducts(how))
	case InstrumentFile:
		return importFile(ctx, g, open, how, g.prepareInstruments)
	case MemberFile:
		return importFile(ctx, g, open, how, g.prepareMembers)
	case SyringeFile:
		return importFile(ctx, g, open, how, g.prepareSyringes)
	case StockFile:
		return importFile(ctx, g, open, how, g.prepareStock)
	case TestFile:
		return g.importTests(ctx, open, how)
	}
	return report, fmt.Errorf("no file of %q can be imported", kind)
}

// Export writes a file of one kind: the lists in the order added, stock in the order
// recorded, the kept tests by the day tested and then in the order logged, with the seconds
// as they were typed. Withdrawn tests are in the history.
func (g *Group) Export(ctx context.Context, kind FileKind, w io.Writer) (err error) {
	defer wrap(&err, "export %s", kind)
	v, err := g.Vocabulary(ctx)
	if err != nil {
		return err
	}
	members, err := g.Members(ctx)
	if err != nil {
		return err
	}
	names := newMemberNames(members)
	switch kind {
	case ProductFile:
		return productTable().writeTo(w, v.Products)
	case InstrumentFile:
		return exportInstruments(w, v.Instruments)
	case MemberFile:
		return memberTable(names).writeTo(w, members)
	case SyringeFile:
		return syringeTable().writeTo(w, v.Syringes)
	case StockFile:
		return g.exportStock(ctx, w, names)
	case TestFile:
		return g.exportTests(ctx, w, names, TestFilter{State: Kept})
	case HistoryFile:
		return g.exportHistory(ctx, w, names)
	}
	return fmt.Errorf("no file of %q can be exported", kind)
}
