package calc

import "math"

// lnShape returns the logarithm of the prior density of a product, without lnConstant.
func (p prior) lnShape(g gelPoint) float64 {
	return lnNormal(indexOf(g.rung), p.Index) + lnNormal(g.lnK, p.LnConsistency) + lnNormal(g.lnYield, p.LnYield)
}

// lnConstant is what lnShape leaves out. With it the density in n, ln K and ln τy integrates to
// 1, the flow index being cut to its range.
func (p prior) lnConstant() float64 {
	within := phi().at((maxIndex-p.Index.Mean)/p.Index.SD) - phi().at((minIndex-p.Index.Mean)/p.Index.SD)
	return -1.5*math.Log(2*math.Pi) - math.Log(p.Index.SD*p.LnConsistency.SD*p.LnYield.SD*within)
}

// volume is the volume of a whole cell in n, ln K and ln τy. The frame is sheared, which keeps the
// volume the product of its steps.
func (f *frame) volume() float64 {
	return float64(f.stride) * indexStep * f.along[0] * f.across
}

// lnEvidence returns the logarithm of the probability of all tests, summed over the possible
// products: the measure by which one Spread is likelier than another. The volume of the cells
// makes grids of different steps comparable.
//
// Accuracy: 0.02 (TestEvidenceAgainstQuadrature), by the cells that are too unlikely to be kept.
func (f *fitter) lnEvidence(fr *frame, nodes []node) float64 {
	best := nodes[0].lnWeight // settle puts the likeliest first
	var sum float64
	for _, n := range nodes {
		sum += math.Exp(n.lnWeight - best)
	}
	return best + math.Log(sum) + math.Log(fr.volume()) + f.prior.lnConstant()
}
