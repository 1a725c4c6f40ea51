package quantity

import "testing"

// The dates are the calendar's; that two figures are month and year is how boxes have them.
func TestTheDateOnABoxIsRead(t *testing.T) {
	for text, want := range map[string]string{
		"03/2026": "2026-03", "3/26": "2026-03", "12.2026": "2026-12", "2026-03": "2026-03", "2026-03-14": "2026-03-14",
		"mar 2026": "2026-03", "March 26": "2026-03", "sept. 2027": "2027-09",
		"14/03/2026": "2026-03-14", "03/14/2026": "2026-03-14", "4.4.26": "2026-04-04", "29-02-2028": "2028-02-29",
		"3/4/2026": "", "13/2026": "", "2026-13": "", "30/02/2026": "", "soon": "", "": "",
	} {
		got, err := Expiry(text)
		if got != want || (err == nil) != (want != "") {
			t.Errorf("%q: %q, %v, want %q", text, got, err, want)
		}
	}
}
