package calc

import (
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// Simulation-based calibration (Talts et al. 2018, arXiv:1804.06788): products,
// departures and tests are drawn from the very model that the estimate assumes;
// where the truth lies in the estimate must then be uniform.

// ranked are the quantities whose place in the estimate is looked at.
// Consistency and yield stress are taken along the grid's own axes, where the index,
// and both others, are held at their means: on a coarse grid the ridge along which
// they trade off hides the rest. Any function of truth and tests may be ranked.
var ranked = [...]string{"flow index", "consistency, index held", "yield stress, both held",
	"departure of a tested set-up", "share by 10 s, tested", "share by 10 s, untested"}

// rankStep is the step of the grid on which n, K and τy are ranked. The fit's own,
// 0.9, is right for sums over the products, which is all that answers need; between
// its lines a cubic is off by 1 %, which thousands of draws would show.
const rankStep = 0.6

// places are where the truth lay, between 0 and 1, for each of ranked.
type places [len(ranked)][]float64

func (p *places) add(q places) {
	for i := range p {
		p[i] = append(p[i], q[i]...)
	}
}

// rankDraws draws and fits so many products of one class.
func rankDraws(t testing.TB, w *world, class GelClass, draws int) places {
	var all places
	for range draws {
		gel := w.product(class)
		n := 1 + w.rng.IntN(4)
		setups := w.setups(n + 1)
		var tested []TestedSetup
		for _, s := range setups[:n] {
			c := TestedSetup{Setup: s}
			for range 1 + w.rng.IntN(6) {
				c.Trials = append(c.Trials, w.test(gel, s, w.rng.IntN(3)))
			}
			tested = append(tested, c)
		}
		for i, place := range placesOf(t, w, gel, tested, setups[n]) {
			all[i] = append(all[i], place)
		}
	}
	return all
}

// placesOf fits the tests and returns the probability below the truth of each of ranked.
func placesOf(t testing.TB, w *world, gel *truth, tested []TestedSetup, untested Setup) [len(ranked)]float64 {
	p, _ := gel.class.prior()
	f, err := newFitter(p, tested, DefaultSpread())
	if err != nil {
		t.Fatal(err)
	}
	_, nodes := f.search(f)
	fr := momentsOf(nodes).frame(rankStep)
	nodes = settle(f.flood(&fr, nodes, finalDepth), finalDepth)
	e := mustFit(t, gel.class, tested...)
	s := tested[0].Setup
	δ := w.departs(gel, s)
	below := e.setup(s).below(e.weight, δ+lotSpread*w.rng.NormFloat64(), lotSpread)
	place := [len(ranked)]float64{3: below}
	place[0], place[1], place[2] = lattice{fr, nodes}.below(gel)
	for i, setup := range []Setup{s, untested} {
		m := mustForecast(t, e, setup).margin(10)
		place[4+i] = m.below(w.nextMargin(gel, setup, DefaultPull, 10))
	}
	return place
}

// lattice are the settled nodes of a frame.
type lattice struct {
	frame frame
	nodes []node
}

// below returns the probability of less than the truth along each axis of the
// frame. On each the masses are summed up by the rule for an even grid.
func (l lattice) below(gel *truth) (i, j, k float64) {
	f := l.frame
	dn := gel.index - indexOf(f.centre)
	alongK := (gel.gel.lnK - f.mean[0] - f.perIndex[0]*dn) / f.along[0]
	alongYield := (gel.gel.lnYield - f.mean[1] - f.perIndex[1]*dn - f.along[1]*alongK) / f.across
	i = lineBelow(l.nodes, func(c cell) int { return c.i }, dn/(float64(f.stride)*indexStep))
	j = lineBelow(l.nodes, func(c cell) int { return c.j }, alongK)
	k = lineBelow(l.nodes, func(c cell) int { return c.k }, alongYield)
	return i, j, k
}

// lineBelow is the probability below a place along one axis.
func lineBelow(line []node, along func(cell) int, u float64) float64 {
	lo, hi := along(line[0].cell), along(line[0].cell)
	for _, p := range line {
		lo, hi = min(lo, along(p.cell)), max(hi, along(p.cell))
	}
	mass := make([]float64, hi-lo+3)
	for _, p := range line {
		mass[along(p.cell)-lo+1] += p.weight
	}
	v := u - float64(lo-1)
	below := cumulate(mass)
	switch {
	case !(v > 0):
		return 0
	case v >= float64(len(mass)-1):
		return 1
	}
	k := int(v)
	return hermiteCubic(below[k], mass[k], below[k+1], mass[k+1], v-float64(k))
}

// cumulate returns the probability below each line of an even grid, from the
// masses on the lines: the trapezoid rule with its first end correction (Euler
// and Maclaurin), the slopes by central differences.
func cumulate(mass []float64) []float64 {
	below := make([]float64, len(mass))
	var sum float64
	for k := 1; k < len(mass)-1; k++ {
		below[k] = sum + mass[k]/2 - (mass[k+1]-mass[k-1])/24
		sum += mass[k]
	}
	below[len(mass)-1] = sum
	return below
}

// below is the probability that δ, with a normal sd added, is below x.
func (t *setupEstimate) below(weight []float64, x, sd float64) (sum float64) {
	for _, rows := range t.rows {
		for i, row := range rows {
			for k, mass := range row.mass {
				sum += weight[i] * mass * phi().at((x-float64(row.first+k-t.grid.half)*t.grid.step)/sd)
			}
		}
	}
	return min(sum, 1)
}

// uniform is the chi-square test of places against the uniform distribution: the
// counts by equal parts, and the probability of counts as uneven or more.
func uniform(places []float64, parts int) (counts []int, p float64) {
	counts = make([]int, parts)
	for _, x := range places {
		counts[min(max(int(x*float64(parts)), 0), parts-1)]++
	}
	expected := float64(len(places)) / float64(parts)
	var sum float64
	for _, c := range counts {
		sum += square(float64(c)-expected) / expected
	}
	return counts, distuv.ChiSquared{K: float64(parts - 1)}.Survival(sum)
}

// leastUniform is the p that every chi-square test has to pass.
const leastUniform = 0.01

func TestRanksAreUniform(t *testing.T) {
	computesAlone(t)
	const draws, parts = 104, 10
	var all places
	w := newWorld(1)
	for _, class := range GelClasses() {
		all.add(rankDraws(t, w, class, draws/len(GelClasses())))
	}
	for i, name := range ranked {
		counts, p := uniform(all[i], parts)
		t.Logf("%s: p %.3f %v", name, p, counts)
		if p < leastUniform {
			t.Errorf("%s: p %.4f, counts %v", name, p, counts)
		}
	}
}
