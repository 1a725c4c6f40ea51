package knowledge

import (
	"flag"
	"os"
	"testing"
)

// long is what make nightly asks for: what the others prove of fewer draws and shorter files is proved of all of them.
var long = flag.Bool("long", false, "draw more cases and read longer files; takes a minute more")

// TestMain has each drawn test draw fewer cases than rapid's hundred, unless all are asked for or a number is given.
func TestMain(m *testing.M) {
	flag.Parse()
	given := *long
	flag.Visit(func(f *flag.Flag) { given = given || f.Name == "rapid.checks" })
	if !given {
		if err := flag.Set("rapid.checks", "30"); err != nil {
			panic(err)
		}
	}
	os.Exit(m.Run())
}

// ofLong is the first, or with -long the second.
func ofLong[T any](short, whole T) T {
	if *long {
		return whole
	}
	return short
}
