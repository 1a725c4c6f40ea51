package sheet

import (
	"archive/zip"
	"errors"
	"fmt"
	"io"
	"os"
	"regexp"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"
)

// book is a workbook, one sheet of which is read.
type book struct {
	file   *excelize.File
	rows   *excelize.Rows
	line   int
	sheet  string
	others []string // other sheets that are not empty
	folder string   // for what is too large for memory
}

const (
	inMemory   = 16 << 20 // bytes of a sheet or its texts that are unpacked in memory; more go to a file in folder
	mostBeside = 64 << 20 // bytes of pictures and the like, unpacked
	firstRows  = 20       // rows that tell which sheet of a workbook is meant
)

func openBook(r io.ReaderAt, size int64, limits Limits, pick func([][]string) bool) (*Table, error) {
	if err := checkUnpacked(r, size, limits.Unpacked); err != nil {
		return nil, err
	}
	folder, err := os.MkdirTemp("", "sheet")
	if err != nil {
		return nil, err
	}
	b := &book{folder: folder}
	b.file, err = excelize.OpenReader(io.NewSectionReader(r, 0, size), excelize.Options{
		UnzipSizeLimit: limits.Unpacked, UnzipXMLSizeLimit: min(inMemory, limits.Unpacked),
		TmpDir: folder, ShortDatePattern: "yyyy-mm-dd",
	})
	if err != nil {
		return nil, errors.Join(&Problem{"the workbook cannot be read; save it once more as .xlsx, or as CSV"},
			b.close())
	}
	if err := b.plainFormats(); err != nil {
		return nil, errors.Join(err, b.close())
	}
	if err := b.choose(pick); err != nil {
		return nil, errors.Join(err, b.close())
	}
	t := &Table{next: b.next, close: b.close, others: b.others}
	if len(b.others) > 0 {
		t.name = b.sheet
	}
	return t, nil
}

// checkUnpacked refuses a file that unpacks to more than a limit, by the lengths that it
// states. The library that unpacks it stops at a part that is longer than stated.
func checkUnpacked(r io.ReaderAt, size, most int64) error {
	packed, err := zip.NewReader(r, size)
	if err != nil {
		return &Problem{"the workbook is damaged; save it once more"}
	}
	total, beside, isBook := uint64(0), uint64(0), false
	for _, f := range packed.File {
		if total += f.UncompressedSize64; total > uint64(most) || f.UncompressedSize64 > uint64(most) {
			return &Problem{fmt.Sprintf("the workbook unpacks to more than %d MB", most>>20)}
		}
		name := strings.ToLower(f.Name)
		isBook = isBook || name == "xl/workbook.xml"
		if !strings.HasPrefix(name, "xl/worksheets/sheet") && name != "xl/sharedstrings.xml" {
			beside += f.UncompressedSize64 // the library reads all of it into memory
		}
	}
	if beside > mostBeside {
		return &Problem{fmt.Sprintf("the workbook has more than %d MB beside its cells, pictures perhaps; save the "+
			"sheet as CSV", mostBeside>>20)}
	}
	if !isBook {
		return &Problem{"the file is packed, and no workbook; give the sheet itself, as .xlsx or CSV"}
	}
	return nil
}

// What a number format shows.
var (
	quotedFormat = regexp.MustCompile(`"[^"]*"|\\.|\[[^hms\]][^\]]*\]`)
	dayFormat    = regexp.MustCompile(`(?i)[yd]`)
	clockFormat  = regexp.MustCompile(`(?i)[hs%]`)
)

// The library's numbers of formats: 0 shows a number as it is, 14 a day in the pattern that is
// set when the file is opened.
const (
	generalFormat = 0
	dateFormat    = 14
)

// plainFormats makes the library show dates as 2006-01-02 and numbers with all their digits.
// Percentages and times stay as the cell shows them.
func (b *book) plainFormats() error {
	if _, err := b.file.GetStyle(0); err != nil || b.file.Styles == nil || b.file.Styles.CellXfs == nil {
		return nil // without formats everything is shown as it is
	}
	custom := map[int]string{}
	if formats := b.file.Styles.NumFmts; formats != nil {
		for _, f := range formats.NumFmt {
			custom[f.NumFmtID] = f.FormatCode
		}
	}
	for i := range b.file.Styles.CellXfs.Xf {
		if id := b.file.Styles.CellXfs.Xf[i].NumFmtID; id != nil {
			plain := plainFormat(*id, custom[*id])
			b.file.Styles.CellXfs.Xf[i].NumFmtID = &plain
		}
	}
	return nil
}

// plainFormat is the format by which a cell is to be read.
func plainFormat(id int, code string) int {
	code = quotedFormat.ReplaceAllString(code, "")
	switch {
	case id >= 14 && id <= 17, id == 22, id >= 27 && id <= 31, id == 36, id >= 50 && id <= 54, id == 57, id == 58,
		dayFormat.MatchString(code):
		return dateFormat
	case id >= 18 && id <= 21, id >= 45 && id <= 47, id == 9, id == 10, clockFormat.MatchString(code):
		return id
	}
	return generalFormat
}

// choose opens the sheet that is meant.
func (b *book) choose(pick func([][]string) bool) error {
	var filled []string
	for _, name := range b.file.GetSheetList() {
		rows, err := b.beginning(name)
		if err != nil {
			return err
		}
		if visible, err := b.file.GetSheetVisible(name); err != nil || !visible || len(rows) == 0 {
			continue
		}
		filled = append(filled, name)
		if b.sheet == "" && pick != nil && pick(rows) {
			b.sheet = name
		}
	}
	if len(filled) == 0 {
		return &Problem{"the workbook is empty"}
	}
	if b.sheet == "" {
		b.sheet = filled[0]
	}
	b.others = slices.DeleteFunc(filled, func(name string) bool { return name == b.sheet })
	rows, err := b.file.Rows(b.sheet)
	b.rows = rows
	return err
}

// beginning are those of the first rows of a sheet that are not blank.
func (b *book) beginning(name string) (found [][]string, err error) {
	rows, err := b.file.Rows(name)
	if err != nil {
		return nil, nil // not a sheet of cells: a chart
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for n := 0; n < firstRows && rows.Next(); n++ {
		cells, err := rows.Columns()
		if err != nil {
			return nil, &Problem{"the workbook cannot be read; save it once more as .xlsx, or as CSV"}
		}
		if !blank(cells) {
			found = append(found, cells)
		}
	}
	return found, nil
}

func (b *book) next() (Row, error) {
	if !b.rows.Next() {
		if err := b.rows.Error(); err != nil {
			return Row{}, &Problem{err.Error()}
		}
		return Row{}, io.EOF
	}
	b.line++
	cells, err := b.rows.Columns()
	if err != nil {
		return Row{}, &Fault{b.line, "cannot be read"}
	}
	return Row{b.line, cells}, nil
}

func (b *book) close() (err error) {
	if b.rows != nil {
		err = b.rows.Close()
	}
	if b.file != nil {
		err = errors.Join(err, b.file.Close())
	}
	return errors.Join(err, os.RemoveAll(b.folder))
}
