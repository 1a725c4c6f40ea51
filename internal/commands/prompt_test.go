package commands

import (
	"testing"

	"holdbench/internal/knowledge"
)

func TestNewlyStockedAndUntestedComesFirstThenWhatIsWorthMost(t *testing.T) {
	t.Parallel()
	cases := []struct {
		fresh, rest int
		want        string // F for newly stocked, r for the rest
	}{
		{0, 0, ""}, {2, 1, "FFr"}, {9, 9, "FFF"}, {2, 9, "FFr"}, {9, 1, "FFF"}, {9, 0, "FFF"}, {1, 9, "Frr"},
		{2, 0, "FF"},
	}
	for _, c := range cases {
		open := []knowledge.OpenCombination{{Claim: &knowledge.Claim{}, NewlyStocked: true}} // taken on: not offered
		for range c.rest {
			open = append(open, knowledge.OpenCombination{Tests: 1, NewlyStocked: true}) // tested: not fresh any more
		}
		for range c.fresh {
			open = append(open, knowledge.OpenCombination{NewlyStocked: true})
		}
		got := ""
		for _, o := range prompted(open, "") {
			switch {
			case o.Claim != nil:
				got += "?"
			case o.Tests == 0:
				got += "F"
			default:
				got += "r"
			}
		}
		if got != c.want {
			t.Errorf("%d newly stocked, %d others: %s, want %s", c.fresh, c.rest, got, c.want)
		}
	}
}
