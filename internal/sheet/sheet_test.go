package sheet

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"
	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

var roomy = Limits{Bytes: 8 << 20, Unpacked: 16 << 20, Rows: 1000}

// read is every row of a file as one line of text, the line's number first.
func read(t *testing.T, data []byte, pick func([][]string) bool) string {
	t.Helper()
	table, err := Open(bytes.NewReader(data), int64(len(data)), roomy, pick)
	if err != nil {
		return err.Error()
	}
	defer func() {
		if err := table.Close(); err != nil {
			t.Error(err)
		}
	}()
	var lines []string
	for {
		row, err := table.Next()
		var fault *Fault
		switch {
		case errors.Is(err, io.EOF):
			return strings.Join(lines, "\n")
		case errors.As(err, &fault):
			lines = append(lines, fault.Error())
		case err != nil:
			return err.Error()
		default:
			lines = append(lines, fmt.Sprint(row.Line)+" "+strings.Join(row.Cells, "|"))
		}
	}
}

func encoded(t *testing.T, text string, as encoding.Encoding) []byte {
	t.Helper()
	out, err := as.NewEncoder().String(text)
	if err != nil {
		t.Fatal(err)
	}
	return []byte(out)
}

func TestTextIsReadHoweverItIsWritten(t *testing.T) {
	const want = "1 gel|needle|note\n2 Orrick Mid|30G ½\"|déjà, \"vu\"\n4 Tamsel Soft|27G|7,1"
	const lines = "gel;needle;note\nOrrick Mid;\"30G ½\"\"\";\"déjà, \"\"vu\"\"\"\n;;\nTamsel Soft;27G;7,1\n"
	tabs := strings.ReplaceAll(lines, ";", "\t")
	for scene, data := range map[string][]byte{
		"semicolons":               []byte(lines),
		"tabs":                     []byte(tabs),
		"a byte order mark":        []byte("\uFEFF" + lines),
		"lines end as on Windows":  []byte(strings.ReplaceAll(lines, "\n", "\r\n")),
		"lines end as on old Macs": []byte(strings.ReplaceAll(lines, "\n", "\r")),
		"Windows-1252":             encoded(t, lines, charmap.Windows1252),
		"Latin-1":                  encoded(t, lines, charmap.ISO8859_1),
		"UTF-16, little end first": encoded(t, tabs, unicode.UTF16(unicode.LittleEndian, unicode.UseBOM)),
		"UTF-16, big end first":    encoded(t, tabs, unicode.UTF16(unicode.BigEndian, unicode.UseBOM)),
		"UTF-16 without a mark":    encoded(t, tabs, unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM)),
		"bars":                     []byte(strings.ReplaceAll(lines, ";", "|")),
	} {
		if got := read(t, data, nil); got != want {
			t.Errorf("%s: got\n%s\nwant\n%s", scene, got, want)
		}
	}
	if got := read(t, []byte("sep=;\ngel;note\nA;b,c,d,e\n"), nil); got != "2 gel|note\n3 A|b,c,d,e" {
		t.Errorf("a line that names the separator: %s", got)
	}
	if got := read(t, []byte("gel,note\nA,b \"c\" d\nB,e\n"), nil); !strings.Contains(got,
		"line 2: a quotation mark") || !strings.Contains(got, "3 B|e") {
		t.Errorf("a quotation mark out of place: %s", got)
	}
}

// A character that is not plain may come long after what is looked at first.
func TestALateLetterStillTellsHowAFileIsWritten(t *testing.T) {
	text := "gel,note\n" + strings.Repeat("A,b\n", 400) + strings.Repeat("\n", sampled) + "A,fünf\n"
	for scene, as := range map[string]encoding.Encoding{"Windows-1252": charmap.Windows1252, "UTF-8": unicode.UTF8} {
		if got := read(t, encoded(t, text, as), nil); !strings.HasSuffix(got, "A|fünf") {
			t.Errorf("%s: ends in %q", scene, got[len(got)-20:])
		}
	}
}

// workbook is a book with a cover sheet, a sheet of tests and a hidden one.
func workbook(t *testing.T) []byte {
	t.Helper()
	f := excelize.NewFile()
	set := func(sheet, cell string, value any, format string) {
		err := f.SetCellValue(sheet, cell, value)
		if format != "" {
			style, styled := f.NewStyle(&excelize.Style{CustomNumFmt: &format})
			err = errors.Join(err, styled, f.SetCellStyle(sheet, cell, cell, style))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	for _, name := range []string{"log", "old"} {
		if _, err := f.NewSheet(name); err != nil {
			t.Fatal(err)
		}
	}
	set("Sheet1", "B2", "bench log of ours", "")
	for i, head := range []string{"date", "gel", "seconds", "glycerol", "film", "sum"} {
		set("log", string(rune('A'+i))+"3", head, "")
	}
	set("log", "A5", time.Date(2026, 4, 3, 9, 30, 0, 0, time.UTC), "mm/dd/yy")
	set("log", "B5", "Orrick Mid", "")
	set("log", "C5", 7.125, "0")
	set("log", "D5", 0.4, "0%")
	set("log", "E5", 12.0/86400, "mm:ss")
	set("log", "F5", 3, "")
	set("old", "A1", "hidden", "")
	if err := errors.Join(f.SetCellFormula("log", "F5", `HYPERLINK("https://example.invalid","x")`), f.SetSheetVisible("old", false)); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := f.Write(&out); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func TestAWorkbookGivesWhatIsStoredInIt(t *testing.T) {
	hasGel := func(rows [][]string) bool { return strings.Contains(fmt.Sprint(rows), "gel") }
	// A date whatever it shows, all digits, a share as shown, a time as shown; of a formula the
	// value that was stored with it, 3, and not the "x" that it would come to.
	const want = "3 date|gel|seconds|glycerol|film|sum\n5 2026-04-03|Orrick Mid|7.125|40%|00:12|3"
	if got := read(t, workbook(t), hasGel); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if got := read(t, workbook(t), nil); got != "2 |bench log of ours" {
		t.Errorf("the first sheet: %s", got)
	}
}

// packed is an archive with such parts.
func packed(t *testing.T, parts map[string]int) []byte {
	t.Helper()
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for name, size := range parts {
		w, err := z.Create(name)
		if err == nil {
			_, err = w.Write(make([]byte, size))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func TestFilesThatAreNoTablesAreRefused(t *testing.T) {
	bomb := packed(t, map[string]int{"xl/workbook.xml": 10, "xl/worksheets/sheet1.xml": 17 << 20})
	if len(bomb) > 1<<20 {
		t.Fatalf("the bomb is %d bytes packed", len(bomb))
	}
	// The same, saying that it is small: the size stands twice, before and after the part.
	liar := bytes.ReplaceAll(bomb, []byte{0, 0, 0x10, 1}, []byte{9, 0, 0, 0})
	for scene, c := range map[string]struct {
		data []byte
		want string
	}{
		"a bomb":              {bomb, "the workbook unpacks to more than 16 MB"},
		"a bomb that lies":    {liar, "the workbook cannot be read"},
		"packed, but no book": {packed(t, map[string]int{"a.csv": 10}), "the file is packed, and no workbook"},
		"cut off":             {workbook(t)[:2000], "the workbook is damaged"},
		"an old workbook":     {[]byte("\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1 and more"), "an old or a locked workbook"},
		"a PDF":               {[]byte("%PDF-1.7\n"), "the file is a PDF"},
		"a picture": {append([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"), make([]byte, 9)...),
			"the file is no table"},
		"too large":          {make([]byte, roomy.Bytes+1), "larger than 8 MB"},
		"too many lines":     {[]byte(strings.Repeat("a,b\n", roomy.Rows+2)), "more than 1000 lines"},
		"too many columns":   {[]byte(strings.Repeat("a,", 300) + "\n"), "more than 256 columns"},
		"nothing":            {nil, ""},
		"nothing but blanks": {[]byte(" , ,\n\n"), ""},
	} {
		if got := read(t, c.data, nil); !strings.Contains(got, c.want) || c.want == "" && got != "" {
			t.Errorf("%s: got %q, want %q", scene, got, c.want)
		}
	}
}
