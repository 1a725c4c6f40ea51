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

// text is a file of separated values.
type text struct {
	csv *csv.Reader
}

// sampled bytes are looked at to tell how a file is written.
const sampled = 64 << 10

func openText(file *io.SectionReader) (*text, error) {
	coding, err := codingOf(file)
	if err != nil {
		return nil, err
	}
	plain := bufio.NewReaderSize(coding.NewDecoder().Reader(file), sampled)
	sample, err := plain.Peek(sampled)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	t := &text{csv: csv.NewReader(plain)}
	if !bytes.ContainsRune(sample, '\n') {
		sample = bytes.ReplaceAll(sample, []byte{'\r'}, []byte{'\n'}) // a copy: plain keeps its own
		t.csv = csv.NewReader(oldLines{plain})
	}
	t.csv.FieldsPerRecord, t.csv.ReuseRecord = -1, true
	first, _, _ := strings.Cut(string(sample), "\n")
	first = strings.TrimRight(first, "\r")
	if mark, said := strings.CutPrefix(strings.ToLower(first), "sep="); said && len(mark) == 1 {
		t.csv.Comma = rune(mark[0])
		_, err := t.csv.Read() // the line that says so, which is none of the table's
		return t, err
	}
	t.csv.Comma = separatorOf(string(sample))
	return t, nil
}

func (t *text) next() (Row, error) {
	cells, err := t.csv.Read()
	if parse, is := errors.AsType[*csv.ParseError](err); is {
		return Row{}, &Fault{parse.StartLine, `a quotation mark is out of place; write a cell that has one as "like ""this"""`}
	}
	if err != nil {
		return Row{}, err
	}
	line, _ := t.csv.FieldPos(0)
	return Row{line, cells}, nil
}

func (t *text) lenient()         { t.csv.LazyQuotes = true }
func (t *text) close() error     { return nil }
func (t *text) others() []string { return nil }
func (t *text) name() string     { return "" }

// separators in the order in which they are preferred: a comma may be part of a number.
const separators = "\t;,|"

// separatorOf is the mark that divides the lines of a sample into the most cells, as many
// in most of them.
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

// codingOf tells how the characters of a file are written: by its mark, by noughts in
// every other place, or by what is UTF-8 all through; else as Windows writes them, of
// which Latin-1 is a part.
func codingOf(file *io.SectionReader) (encoding.Encoding, error) {
	sample := make([]byte, sampled)
	n, err := io.ReadFull(file, sample)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return nil, err
	}
	sample = sample[:n]
	for _, start := range []string{"\x89PNG", "\xff\xd8\xff", "GIF8", "\x1f\x8b"} {
		if strings.HasPrefix(string(sample), start) {
			return nil, &Problem{"the file is no table; save the sheet as .xlsx or CSV"}
		}
	}
	if n >= 2 {
		switch mark := binary.BigEndian.Uint16(sample); {
		case mark == 0xFEFF:
			return unicode.UTF16(unicode.BigEndian, unicode.UseBOM), rewind(file)
		case mark == 0xFFFE:
			return unicode.UTF16(unicode.LittleEndian, unicode.UseBOM), rewind(file)
		case noughts(sample, 1) > n/8:
			return unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM), rewind(file)
		case noughts(sample, 0) > n/8:
			return unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM), rewind(file)
		}
	}
	if slices.Contains(sample, 0) {
		return nil, &Problem{"the file is no table; save the sheet as .xlsx or CSV"}
	}
	if err := rewind(file); err != nil {
		return nil, err
	}
	valid, err := isUTF8(file)
	if err != nil {
		return nil, err
	}
	if valid {
		return unicode.UTF8BOM, rewind(file)
	}
	return charmap.Windows1252, rewind(file)
}

func rewind(file *io.SectionReader) error {
	_, err := file.Seek(0, io.SeekStart)
	return err
}

// noughts counts the bytes at every other place that are 0.
func noughts(sample []byte, from int) (n int) {
	for i := from; i < len(sample); i += 2 {
		if sample[i] == 0 {
			n++
		}
	}
	return n
}

// isUTF8 reads a file to its end, or to the first byte that is not.
func isUTF8(r io.Reader) (bool, error) {
	_, err := io.Copy(io.Discard, transform.NewReader(r, encoding.UTF8Validator))
	if errors.Is(err, encoding.ErrInvalidUTF8) {
		return false, nil
	}
	return true, err
}

// oldLines reads lines that end in a carriage return alone as others do.
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
