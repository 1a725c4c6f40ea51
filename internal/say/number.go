package say

import "strconv"

// Number writes a number without needless zeros.
func Number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// Count writes a number of things: "1 test", "12 tests".
func Count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return strconv.Itoa(n) + " " + thing + "s"
}
