package question

import "flag"

// long is what make nightly asks for; what is drawn less often at each commit is a part of the same draws.
var long = flag.Bool("long", false, "draw five times as often, and every change of a name in every text")

// draws is how many of so many are drawn.
func draws(all int) int {
	if *long {
		return all
	}
	return all / 5
}
