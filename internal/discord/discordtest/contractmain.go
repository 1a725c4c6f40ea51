package discordtest

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"testing"
)

// Main runs a package's tests and then holds every request any of them made to
// a stand-in against the platform's contract. For TestMain:
//
//	func TestMain(m *testing.M) { os.Exit(discordtest.Main(m)) }
//
// Without a contract it says so and why. If RecordVariable is set already, the
// requests go there, and whoever set it does the check.
func Main(m *testing.M) int {
	if os.Getenv(RecordVariable) != "" {
		return m.Run()
	}
	dir, err := os.MkdirTemp("", "discordtest")
	if err != nil {
		fmt.Fprintln(os.Stderr, "contract:", err)
		return 1
	}
	defer func() { _ = os.RemoveAll(dir) }() // the system clears its temporary folder anyway
	record := filepath.Join(dir, "requests.jsonl")
	if err := os.Setenv(RecordVariable, record); err != nil {
		fmt.Fprintln(os.Stderr, "contract:", err)
		return 1
	}
	if code := m.Run(); code != 0 {
		return code
	}
	if !ReportContract(os.Stderr, record) {
		return 1
	}
	return 0
}

// ReportContract checks the requests of a record against the contract, writes
// what it found and tells whether all is well. A missing contract is written,
// too, and counts as well.
func ReportContract(w io.Writer, record string) bool {
	report, err := checkRecord(record)
	switch {
	case errors.Is(err, os.ErrNotExist) && report.Checked == 0 && !errors.Is(err, ErrNoContract):
		_, err = fmt.Fprintln(w, "contract: no requests were made")
		return err == nil
	case errors.Is(err, ErrNoContract):
		_, err = fmt.Fprintln(w, "contract: skipped:", err)
		return err == nil
	case err != nil:
		_, _ = fmt.Fprintln(w, "contract:", err) // it is not well either way
		return false
	}
	for _, problem := range report.Problems {
		_, _ = fmt.Fprintln(w, "contract:", problem)
	}
	_, err = fmt.Fprintf(w, "contract: %d requests checked, %d broke it; %d that the stand-in refused left out\n",
		report.Checked, len(report.Problems), report.Refused)
	return err == nil && len(report.Problems) == 0
}

// Report is what a check of many requests found.
type Report struct {
	Checked  int      // requests held against the contract
	Refused  int      // left out: the stand-in had refused them already
	Problems []string // one line each
}

// CheckAll holds requests against the contract. Those in which the stand-in
// itself found a violation are left out and counted: they failed their test,
// or the test wanted them.
func (c *Contract) CheckAll(requests []Request) Report {
	var r Report
	for _, one := range requests {
		if len(one.Violations) > 0 {
			r.Refused++
			continue
		}
		r.Checked++
		if err := c.Check(one); err != nil {
			r.Problems = append(r.Problems, fmt.Sprintf("%s %s: %v", one.Method, one.Path, err))
		}
	}
	return r
}

func checkRecord(record string) (Report, error) {
	path, err := FindContract()
	if err != nil {
		return Report{}, err
	}
	requests, err := ReadRecord(record)
	if err != nil {
		return Report{}, err
	}
	c, err := LoadContract(path)
	if err != nil {
		return Report{}, err
	}
	return c.CheckAll(requests), nil
}
