package trade

import "testing"

// A month on a box holds to its end, a day to its own end: the trade's reading of a date
// without a day.
func TestALotIsOutAfterItsMonthOrDay(t *testing.T) {
	for _, c := range []struct {
		expires, day string
		out          bool
	}{
		{"2026-03", "2026-03-31", false}, {"2026-03", "2026-04-01", true}, {"2026-03", "2025-12-31", false},
		{"2026-03-14", "2026-03-14", false}, {"2026-03-14", "2026-03-15", true}, {"", "2026-03-15", false},
	} {
		if got := (Lot{Expires: c.expires}).OutOn(c.day); got != c.out {
			t.Errorf("%q on %s: out %t", c.expires, c.day, got)
		}
	}
}

func TestALotIsWhatABoxSays(t *testing.T) {
	for _, good := range []Lot{{}, {Number: " a12-4/b "}, {Number: "7", Expires: "2026-03"}, {Expires: "2026-02-28"}} {
		if err := good.Filled().Validate(); err != nil {
			t.Errorf("%+v: %v", good, err)
		}
	}
	for _, bad := range []Lot{{Number: "Ada Smith"}, {Number: "warm"}, {Number: "-1"}, {Number: "A12 "},
		{Number: "a12"},
		{Expires: "03/2026"}, {Expires: "2026-13"}, {Expires: "2026-02-30"}} {
		if bad.Validate() == nil {
			t.Errorf("%+v is taken", bad)
		}
	}
	if got := (Lot{Number: " a12 ", Expires: "2026-03"}).Filled().String(); got != "lot A12, exp 2026-03" {
		t.Errorf("got %q", got)
	}
}
