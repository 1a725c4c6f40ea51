package calc

import "math"

// gelPoint is one possible product: ln K, ln τy, and the flow index as a rung of the ladder.
type gelPoint struct {
	rung         int
	lnK, lnYield float64
}

// frame is a grid over the possible products, laid along the spread that the tests leave: the flow
// index on the ladder, then ln K and ln τy along and across the direction in which one makes up
// for the other.
type frame struct {
	centre   int // rung
	stride   int // rungs between neighbours
	mean     [2]float64
	perIndex [2]float64 // shift of mean per unit of flow index
	along    [2]float64 // step in ln K and ln τy for j
	across   float64    // step in ln τy for k
	scale    [3]float64 // standard deviations that the steps are parts of
}

// cell names a place in a frame.
type cell struct{ i, j, k int }

// at returns the product at a cell, and whether its flow index is on the ladder.
func (f *frame) at(c cell) (gelPoint, bool) {
	rung := f.centre + c.i*f.stride
	dn := indexOf(rung) - indexOf(f.centre)
	j, k := float64(c.j), float64(c.k)
	return gelPoint{
		rung:    rung,
		lnK:     f.mean[0] + f.perIndex[0]*dn + f.along[0]*j,
		lnYield: f.mean[1] + f.perIndex[1]*dn + f.along[1]*j + f.across*k,
	}, rung >= 0 && rung < ladderLength
}

// nearest returns the cell that a product falls into.
func (f *frame) nearest(g gelPoint) cell {
	i := int(math.Round(float64(g.rung-f.centre) / float64(f.stride)))
	dn := float64(i*f.stride) * indexStep
	j := math.Round((g.lnK - f.mean[0] - f.perIndex[0]*dn) / f.along[0])
	k := math.Round((g.lnYield - f.mean[1] - f.perIndex[1]*dn - f.along[1]*j) / f.across)
	return cell{i, int(j), int(k)}
}

// width is the part of the cell that lies on the ladder of flow indices.
func (f *frame) width(c cell) float64 {
	half := float64(f.stride) / 2
	rung := float64(f.centre + c.i*f.stride)
	lo, hi := max(rung-half, 0), min(rung+half, ladderLength-1)
	return (hi - lo) / float64(f.stride)
}

// moments are the mean and covariance of (n, ln K, ln τy).
type moments struct {
	mean [3]float64
	cov  [3][3]float64
}

// frame lays a grid whose steps are the given part of the spread in m: of the flow index, then of
// ln K given it, then of ln τy given both.
func (m moments) frame(step float64) frame {
	var f frame
	f.centre = min(max(int(math.Round((m.mean[0]-minIndex)/indexStep)), 0), ladderLength-1)
	sdIndex := math.Sqrt(m.cov[0][0])
	f.stride = max(int(math.Round(step*sdIndex/indexStep)), 1)
	dn := indexOf(f.centre) - m.mean[0]
	for a := range 2 {
		f.perIndex[a] = m.cov[0][a+1] / m.cov[0][0]
		f.mean[a] = m.mean[a+1] + f.perIndex[a]*dn
	}
	kk := m.cov[1][1] - square(m.cov[0][1])/m.cov[0][0]
	kt := m.cov[1][2] - m.cov[0][1]*m.cov[0][2]/m.cov[0][0]
	tt := m.cov[2][2] - square(m.cov[0][2])/m.cov[0][0]
	sdK := math.Sqrt(kk)
	sdT := math.Sqrt(max(tt-square(kt)/kk, 1e-12))
	f.along = [2]float64{step * sdK, step * kt / sdK}
	f.across = step * sdT
	f.scale = [3]float64{sdIndex, sdK, sdT}
	return f
}

// node is an evaluated cell.
type node struct {
	gelPoint
	cell       cell
	lnWeight   float64          // logarithm of the unnormalised probability of the cell
	weight     float64          // normalised; set by settle
	posteriors []deltaPosterior // of each tested set-up's δ, where the fitter wants them
}

// momentsOf returns the mean and the covariance of settled nodes.
func momentsOf(nodes []node) moments {
	var m moments
	for _, p := range nodes {
		for a, x := range p.coordinates() {
			m.mean[a] += p.weight * x
		}
	}
	for _, p := range nodes {
		x := p.coordinates()
		for a := range 3 {
			for b := range 3 {
				m.cov[a][b] += p.weight * (x[a] - m.mean[a]) * (x[b] - m.mean[b])
			}
		}
	}
	return m
}

func (g gelPoint) coordinates() [3]float64 {
	return [3]float64{indexOf(g.rung), g.lnK, g.lnYield}
}

// blur adds to m the variance inside the cells of f, so that a grid too coarse for a narrow ridge
// still gives the next one a spread to lay its steps by.
func (m moments) blur(f frame) moments {
	const inCell = 1.0 / 12 // the variance of a uniform distribution of width 1
	step := float64(f.stride) * indexStep
	m.cov[0][0] += inCell * square(step)
	for a := range 2 {
		m.cov[0][a+1] += inCell * square(step) * f.perIndex[a]
		m.cov[a+1][0] = m.cov[0][a+1]
		for b := range 2 {
			m.cov[a+1][b+1] += inCell * (square(step)*f.perIndex[a]*f.perIndex[b] + f.along[a]*f.along[b])
		}
	}
	m.cov[2][2] += inCell * square(f.across)
	return m
}
