package calc

// hermite is a smooth function on an even grid, held by its values and slopes
// and read by the cubic that meets both: error step⁴/384 times the fourth
// derivative.
type hermite struct {
	from, step   float64
	value, slope []float64
}

func newHermite(from, to, step float64) hermite {
	n := int((to-from)/step+0.5) + 1
	return hermite{from: from, step: step, value: make([]float64, n), slope: make([]float64, n)}
}

// at reads the function; x must lie within the grid.
func (h *hermite) at(x float64) float64 {
	u := (x - h.from) / h.step
	i := min(max(int(u), 0), len(h.value)-2)
	return hermiteCubic(h.value[i], h.slope[i]*h.step, h.value[i+1], h.slope[i+1]*h.step, u-float64(i))
}

// slopeAt reads the function and its slope; x must lie within the grid.
func (h *hermite) slopeAt(x float64) (value, slope float64) {
	u := (x - h.from) / h.step
	i := min(max(int(u), 0), len(h.value)-2)
	a, b, da, db := h.value[i], h.value[i+1], h.slope[i]*h.step, h.slope[i+1]*h.step
	t, d := u-float64(i), b-a
	c2, c3 := 3*d-2*da-db, da+db-2*d
	return a + t*(da+t*(c2+t*c3)), (da + t*(2*c2+t*3*c3)) / h.step
}

// hermiteCubic is the cubic with values a, b and slopes da, db at t = 0 and 1.
func hermiteCubic(a, da, b, db, t float64) float64 {
	d := b - a
	return a + t*(da+t*(3*d-2*da-db+t*(da+db-2*d)))
}

// invert tabulates f(x(y)) over y, where h is y(x), rising, and f gives its
// value and its slope in x.
func (h *hermite) invert(from, to, step float64, f func(x float64) (value, slope float64)) hermite {
	inv := newHermite(from, to, step)
	i := 0
	for j := range inv.value {
		y := from + float64(j)*step
		for i < len(h.value)-2 && h.value[i+1] < y {
			i++
		}
		x, dydx := h.solve(i, y)
		value, slope := f(x)
		inv.value[j], inv.slope[j] = value, slope/dydx
	}
	return inv
}

// solve finds x in cell i where the function takes the value y, and its slope there.
func (h *hermite) solve(i int, y float64) (x, slope float64) {
	a, b := h.value[i], h.value[i+1]
	da, db := h.slope[i]*h.step, h.slope[i+1]*h.step
	t := (y - a) / (b - a)
	for range 8 { // Newton on a nearly straight line: two or three steps do
		d := b - a
		dydt := da + t*(2*(3*d-2*da-db)+t*3*(da+db-2*d))
		t -= (hermiteCubic(a, da, b, db, t) - y) / dydt
		slope = dydt / h.step
	}
	return h.from + (float64(i)+t)*h.step, slope
}
