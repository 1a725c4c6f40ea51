package calc

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"
)

// record is one line of a reference file, by column.
type record struct {
	t    *testing.T
	file string
	cell map[string]string
}

// readRecords reads a reference file of testdata; README.md there says how each
// was made.
func readRecords(t *testing.T, file string) []record {
	t.Helper()
	f, err := os.Open("testdata/" + file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(lines) < 2 {
		t.Fatalf("%s holds no rows", file)
	}
	var records []record
	for _, line := range lines[1:] {
		cell := make(map[string]string)
		for i, column := range lines[0] {
			cell[column] = line[i]
		}
		records = append(records, record{t, file, cell})
	}
	return records
}

// number returns a cell as a number.
func (r record) number(column string) float64 {
	r.t.Helper()
	v, err := strconv.ParseFloat(r.cell[column], 64)
	if err != nil {
		r.t.Fatalf("%s, column %s: %v", r.file, column, err)
	}
	return v
}

// whole returns a cell as a whole number.
func (r record) whole(column string) int {
	r.t.Helper()
	v, err := strconv.Atoi(r.cell[column])
	if err != nil {
		r.t.Fatalf("%s, column %s: %v", r.file, column, err)
	}
	return v
}
