package sheet

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"encoding/csv"
	"errors"
	"io"
	"slices"
	"strings"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"
)

// sampled bytes tell how a file is written.
const sampled = 64 << 10

// openText opens a file of separated values.
func openText(file *io.SectionReader) (*Table, error) {
	coding, err := codingOf(file)
	if err != nil {
		return nil, err
	}
	plain := bufio.NewReaderSize(coding.NewDecoder().Reader(file), sampled)
	sample, err := plain.Peek(sampled)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	lines := csv.NewReader(plain)
	if !bytes.ContainsRune(sample, '\n') {
		sample = bytes.ReplaceAll(sample, []byte{'\r'}, []byte{'\n'}) // a copy: plain keeps its own
		lines = csv.NewReader(oldLines{plain})
	}
	lines.FieldsPerRecord, lines.ReuseRecord = -1, true
	t := &Table{csv: lines, close: func() error { return nil }}
	t.next = t.nextLine
	first, _, _ := strings.Cut(string(sample), "\n")
	first = strings.TrimRight(first, "\r")
	if mark, said := strings.CutPrefix(strings.ToLower(first), "sep="); said && len(mark) == 1 {
		lines.Comma = rune(mark[0])
		_, err := lines.Read() // this line is not part of the table
		return t, err
	}
	lines.Comma = separatorOf(string(sample))
	return t, nil
}

func (t *Table) nextLine() (Row, error) {
	cells, err := t.csv.Read()
	if parse, is := errors.AsType[*csv.ParseError](err); is {
		return Row{}, &Fault{parse.StartLine,
			`a quotation mark is out of place; write a cell that has one as "like ""this"""`}
	}
	if err != nil {
		return Row{}, err
	}
	line, _ := t.csv.FieldPos(0)
	return Row{line, cells}, nil
}

// separators in the order of preference: a comma may be part of a number.
const separators = "\t;,|"

// separatorOf is the mark that divides most lines of a sample into the same number of cells,
// and into the most.
func separatorOf(sample string) rune {
	lines := strings.Split(sample, "\n")
	if len(lines) > 1 {
		lines = lines[:min(len(lines)-1, 40)] // the last may be cut off
	}
	best, most := ',', 0
	for _, mark := range separators {
		lengths := map[int]int{}
		for _, line := range lines {
			if n := outsideQuotes(line, mark); n > 0 {
				lengths[n]++
			}
		}
		score := 0
		for n, times := range lengths {
			score = max(score, n*times)
		}
		if score > most {
			best, most = mark, score
		}
	}
	return best
}

// outsideQuotes counts a mark in a line, but not between quotation marks.
func outsideQuotes(line string, mark rune) (n int) {
	quoted := false
	for _, c := range line {
		switch {
		case c == '"':
			quoted = !quoted
		case c == mark && !quoted:
			n++
		}
	}
	return n
}

// codingOf tells how the characters of a file are written: by its byte order mark, by zeros in
// every other place, or by being UTF-8 to its end. Any other file is read as Windows-1252,
// which contains what is printed of Latin-1.
func codingOf(file *io.SectionReader) (encoding.Encoding, error) {
	sample := make([]byte, sampled)
	n, err := file.ReadAt(sample, 0)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	sample = sample[:n]
	noTable := &Problem{"the file is no table; save the sheet as .xlsx or CSV"}
	for _, start := range []string{"\x89PNG", "\xff\xd8\xff", "GIF8", "\x1f\x8b"} {
		if strings.HasPrefix(string(sample), start) {
			return nil, noTable
		}
	}
	if n >= 2 {
		switch mark := binary.BigEndian.Uint16(sample); {
		case mark == 0xFEFF:
			return unicode.UTF16(unicode.BigEndian, unicode.UseBOM), nil
		case mark == 0xFFFE:
			return unicode.UTF16(unicode.LittleEndian, unicode.UseBOM), nil
		case zeros(sample, 1) > n/8:
			return unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM), nil
		case zeros(sample, 0) > n/8:
			return unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM), nil
		}
	}
	if slices.Contains(sample, 0) {
		return nil, noTable
	}
	valid, err := isUTF8(io.NewSectionReader(file, 0, file.Size()))
	if err != nil {
		return nil, err
	}
	if valid {
		return unicode.UTF8BOM, nil
	}
	return charmap.Windows1252, nil
}

// zeros counts the bytes at every other place that are 0.
func zeros(sample []byte, from int) (n int) {
	for i := from; i < len(sample); i += 2 {
		if sample[i] == 0 {
			n++
		}
	}
	return n
}

// isUTF8 reads a file to its end, or to the first byte that is not UTF-8.
func isUTF8(r io.Reader) (bool, error) {
	_, err := io.Copy(io.Discard, transform.NewReader(r, encoding.UTF8Validator))
	if errors.Is(err, encoding.ErrInvalidUTF8) {
		return false, nil
	}
	return true, err
}

// oldLines reads lines that end in a carriage return alone.
type oldLines struct{ io.Reader }

func (o oldLines) Read(p []byte) (int, error) {
	n, err := o.Reader.Read(p)
	for i, b := range p[:n] {
		if b == '\r' {
			p[i] = '\n'
		}
	}
	return n, err
}
