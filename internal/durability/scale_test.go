package durability

import (
	"flag"
	"os"
	"path/filepath"
	"testing"
	"time"
)

var scale = flag.Bool("scale", false, "build a store with a million tests and measure it; takes minutes")

// The aims, for a thousand communities with a hundred gels and a thousand tests each.
const (
	mostMemory = 150 << 20
	mostStart  = 2 * time.Second
	mostGrowth = 2.0
)

// TestScale measures what grows with the store and compares it with the aims: first the layers
// below the surface, then the program itself with a server for each community.
func TestScale(t *testing.T) {
	if !*scale {
		t.Skip("takes minutes: make scale")
	}
	small, large := filepath.Join(t.TempDir(), "small.db"), filepath.Join(t.TempDir(), "large.db")
	firstCommunity(t, small, products, testsEach)
	began := time.Now()
	firstCommunity(t, large, products, testsEach)
	multiply(t, large, communities, testsEach)
	info := must(os.Stat(large))(t)
	t.Logf("store with %d tests: %d MB, built in %s", communities*testsEach, info.Size()>>20,
		time.Since(began).Round(time.Second))
	t.Run("layers", func(t *testing.T) {
		before, many, after := weigh(t, small, 1, warmAsked), weigh(t, large, communities, warmAsked),
			weigh(t, small, 1, warmAsked)
		one := before // the quicker of two, for other work beside it must not hide a growth
		if after.warm < one.warm {
			one = after
		}
		t.Logf("1 community: %s", one)
		t.Logf("%d communities: %s", communities, many)
		growth := float64(many.warm) / float64(one.warm)
		t.Logf("a warm question at %d tests takes %.2f times as long as at %d", communities*testsEach, growth,
			testsEach)
		if growth > mostGrowth {
			t.Errorf("growth: %.2f, aim %.1f", growth, mostGrowth)
		}
		many.holdToAims(t)
	})
	t.Run("program", func(t *testing.T) {
		w := weighProgram(t, large)
		t.Logf("the program with %d servers: %s", communities, w)
		w.holdToAims(t)
	})
}

// TestALargeStoreInSmall builds and measures three communities, to know that what -scale runs
// works. It compares nothing with the aims.
func TestALargeStoreInSmall(t *testing.T) {
	t.Parallel()
	const few, gels, tests, warm = 3, 20, 40, 20 // each gel that is asked about is there: askedGel is below 20
	path := filepath.Join(t.TempDir(), "few.db")
	firstCommunity(t, path, gels, tests)
	multiply(t, path, few, tests)
	if w := weigh(t, path, few, warm); w.start == 0 || w.warm == 0 || w.cold == 0 || w.memory == 0 ||
		w.memory > w.peak {
		t.Errorf("%+v", w)
	}
}

func (w weighed) holdToAims(t *testing.T) {
	t.Helper()
	if w.start > mostStart {
		t.Errorf("start: %s, aim %s", w.start, mostStart)
	}
	if w.peak > mostMemory {
		t.Errorf("memory: %d MB, aim %d MB", w.peak>>20, mostMemory>>20)
	}
}
