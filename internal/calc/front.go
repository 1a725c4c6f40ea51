package calc

import (
	"cmp"
	"math"
)

// front is the full model of one exit, with its arguments checked and in base units. Its
// integrals run over t ≥ 0 instead of the front's position x, with
//
//	e^(−nt) = u(1−φ)/(1−φu),   u = (L−x)/L,   φ = τy/τ0 at the start.
//
// That spreads out both ends: the slow start of a gel that hardly yields, and the hub, where
// little gel is left and the liquid or a spent suction decides.
type front struct {
	gel          Gel
	R, L, μ      float64
	draw         Draw
	room, intake float64 // volume behind the stopper at the start; V_in per metre of front
	Δp0          float64 // suction at the start
	φ, rest      float64 // τy/τ0 and 1 − τy/τ0
}

// newFront checks the arguments of ExitTime.
func newFront(gel Gel, tube Tube, draw Draw, liquid Viscosity) (*front, error) {
	err := cmp.Or(gel.check(), tube.check(), draw.check(),
		within("viscosity of the liquid", float64(liquid), 0, mostConsistency, "0 to 1e6 Pa·s"))
	if err != nil {
		return nil, err
	}
	f := &front{gel: gel, R: float64(tube.Bore) / 2, L: float64(tube.Length), μ: float64(liquid), draw: draw}
	f.room = float64(draw.Gas + draw.Pull)
	f.intake = math.Pi * f.R * f.R
	f.Δp0 = f.suctionAt(0)
	held := 2 * float64(gel.Yield) * f.L / f.R
	f.φ, f.rest = held/f.Δp0, (f.Δp0-held)/f.Δp0
	return f, nil
}

// suctionAt returns Δp with the front at x, and −Inf if the liquid would fill all the room.
func (f *front) suctionAt(x float64) float64 {
	if !(f.room-f.intake*x > 0) {
		return math.Inf(-1)
	}
	return f.draw.suction(f.intake * x)
}

// stops reports whether the front never reaches the hub.
func (f *front) stops() bool {
	return !(f.Δp0 > 0) || !(f.rest > 0) || !(f.suctionAt(f.L) > suctionSpent*f.Δp0)
}

// time returns the exit time of a front that is known to get out. The suction has a kink where
// the gas first rises above the vapour pressure; the integral is cut there.
func (f *front) time() (float64, error) {
	kink := f.kink()
	tail, err := integrateTail(f.slowness, kink, 1/min(1, f.gel.Index))
	if err != nil || kink == 0 {
		return tail, err
	}
	span, err := integrateSpan(f.slowness, kink)
	return span + tail, err
}

// kink returns the t at which the suction begins to fall, 0 if it falls from
// the start or not at all.
func (f *front) kink() float64 {
	x := (f.room - float64(AtmosphericPressure)*float64(f.draw.Gas)/float64(WaterVapourPressure)) / f.intake
	if !(x > 0) || !(x < f.L) {
		return 0
	}
	u := (f.L - x) / f.L
	return math.Log1p(x/f.L/(u*f.rest)) / f.gel.Index
}

// slowness returns dT/dt: how long the front takes per step of t.
func (f *front) slowness(t float64) float64 {
	e := math.Exp(-f.gel.Index * t)
	d := f.φ*e + f.rest
	u, yielding := e/d, f.rest/d // (L−x)/L and 1 − φu, without cancelling
	x := f.L * f.rest * -math.Expm1(-f.gel.Index*t) / d
	drive := f.Δp0*yielding - f.fallen(x)
	U := f.speed(drive, 8*f.μ*x/(f.R*f.R), 2*f.L*u/f.R)
	return f.gel.Index * f.L * u * yielding / U
}

// fallen returns Δp(0) − Δp(x), without cancelling.
func (f *front) fallen(x float64) float64 {
	boyle := float64(AtmosphericPressure) * float64(f.draw.Gas)
	drawn := f.intake * x
	start, now := boyle/f.room, boyle/(f.room-drawn)
	floor := float64(WaterVapourPressure)
	switch {
	case now <= floor:
		return 0
	case start < floor:
		return now - floor
	}
	return start * drawn / (f.room - drawn)
}

// speed returns the velocity U at which the liquid's resistance a U and the
// gel's excess wall stress b = τw − τy together take up the drive:
//
//	a U(b) + c b = drive
//
// Newton's method for ln b, held between bounds: one of the two terms is at least half of the
// drive.
func (f *front) speed(drive, a, c float64) float64 {
	if a == 0 {
		return f.gel.velocity(f.R, drive/c)
	}
	n, lnK := f.gel.Index, math.Log(f.gel.Consistency)
	gelAlone := math.Log(drive / c)
	liquidAlone := lnK + n*math.Log(drive/a*(3*n+1)/(f.R*n))
	lo, hi := min(gelAlone-math.Ln2, liquidAlone-n*math.Ln2), gelAlone
	z := min(gelAlone, liquidAlone)
	for i := range 100 {
		b := math.Exp(z)
		β := b / (b + float64(f.gel.Yield))
		φ := 1 - β
		B := profile(n, φ, β)
		U := f.R * n * math.Exp((z-lnK)/n) * β * B
		growth := 1/n + φ - φ*β*profileSlope(n, φ, β)/B // d ln U / d ln b
		off := math.Log((a*U + c*b) / drive)
		step := -off * (a*U + c*b) / (a*U*growth + c*b)
		if math.Abs(step) <= 1e-9 {
			return U * (1 + growth*step) // off by the order of step²
		}
		if off > 0 {
			hi = z
		} else {
			lo = z
		}
		if z += step; !(z > lo && z < hi) || i > 20 {
			z = lo + (hi-lo)/2
		}
	}
	return math.NaN() // never seen; time turns it into ErrNotConverged
}

// profileSlope is the derivative of profile by φ.
func profileSlope(n, φ, β float64) float64 {
	return -2*β/(3*n+1) + 2*(β-φ)/(2*n+1) + 2*φ/(n+1)
}
