package commands

import (
	"flag"
	"testing"
)

// long is what make nightly asks for: what the others prove of a case of each kind is proved of all of them.
var long = flag.Bool("long", false, "look at every case; takes a minute more")

// few is one in so many of a list where tests are to be short: answers that are made one after the other in one
// goroutine take ten times as long under the race detector, and make nightly asks it for all of them.
func few[T any](all []T, one int) (some []T) {
	if !testing.Short() {
		return all
	}
	for i := 0; i < len(all); i += one {
		some = append(some, all[i])
	}
	return some
}
