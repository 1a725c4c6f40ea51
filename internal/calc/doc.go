// Package calc computes how long to hold: the time at which liquid reaches the hub,
// from a gel, a tube and a pull on the plunger; what a group's bench tests say of a
// product; and what counts of tests are worth.
//
// Its functions are pure: no clock, no log, no database. For bad input they return a
// *RangeError; they never panic and never return NaN.
//
// # What happens
//
// The needle is full of gel. The plunger is drawn back and held: suction pulls the
// gel back along the tube, and liquid (blood, or the bench liquid) follows it in
// from the tip. When the liquid reaches the hub it can be seen: flashback. A gel
// gets thinner as it is sheared, and it has a yield stress, so in a fine, long tube
// a firm gel may not move at all. Less and less gel is left in the tube on the way,
// so the start is the slowest moment.
//
// # Words
//
// Gel, product, gel class. Needle, cannula, gauge, wall class, bore, hub. Tube: the
// bore over the whole length, exposed and in the hub. Pull: how far the plunger is
// drawn. Suction: the pressure difference that draws the gel back. Hold: how long the
// pull is kept up. Flashback; none: no flashback while watched. Set-up: tube and
// trapped gas. Combination: product, needle or cannula, and syringe. Trial: one timed
// test of a set-up. Watch: one test by how long it was watched. Hand: who made a test.
// Ceiling: the longest hold that a group calls usable. Share: the part of tests that
// show by a time. Exit time: from the pull until the liquid is at the hub. Margin: how
// far the suction lies above what it takes to show by a time, in logarithms. Verdict:
// what an estimate says of a combination.
//
// # Symbols and units
//
// SI inside. Exported functions take and return the unit types of unit.go; millimetres,
// millilitres and mPa·s are for those who call them.
//
//	R, D, L   radius, bore and length of the tube                    m
//	Δp        suction                                                Pa
//	V         volume: V_gas trapped, V_pull drawn, V_in come in      m³
//	τ, τw     shear stress, shear stress at the wall                 Pa
//	τy        yield stress                                           Pa
//	K         consistency                                            Pa·sⁿ
//	n         flow index; in a statistic, the number of tests        –
//	γ̇         shear rate                                             1/s
//	μ         viscosity of the liquid                                Pa·s
//	U, Q      mean velocity, flow rate                               m/s, m³/s
//	x         position of the liquid's front, from the tip           m
//	T         exit time                                              s
//	φ         yield stress over wall stress at the start             –
//	δ         a set-up's own departure from the model, in ln Δp      –
//	u         a hand's own, on one set-up, in ln Δp                  –
//	e         the rest, drawn anew for each test, in ln Δp           –
//	S         share that has not shown yet                           –
//
// # Models
//
// Suction (suction.go): Boyle's law in the trapped gas, never below the vapour
// pressure of water.
//
// Gel (gel.go): Herschel–Bulkley, τ = τy + K γ̇ⁿ, in fully developed flow. Exact
// limits: power law, Bingham, Newtonian.
//
// Front (exit.go, front.go): Δp = 8 μ x U/R² + 2 τw (L−x)/R gives τw at each place,
// U(τw) the speed, ∫ dx/U the time. The full model, for explaining, has the liquid's
// viscosity and the fall of the suction; the gel-only model, for estimating, has
// neither. The liquid takes under 1 % of the time for middling to firm gels, about 1 %
// for soft ones, 1 to 4 % for fine ones and 4 to 10 % for gels that are not
// crosslinked; the fall of the suction, at a pull of 0.1 mL, takes less than 1 %.
//
// Tests (class.go, trial.go, variation.go, estimate.go, forecast.go, verdict.go): a test
// behaves as if its suction were Δp exp(δ + u + e). A few combinations are odd: their δ is
// drawn from a wide distribution. A prior by gel class and the tests of a product give the
// probability of every (K, n, τy), every δ and, where the wall class is not on record,
// every tube (wall.go); from these come the share that shows by a time and its limits.
// Whether a hold is advised, and which, is in advice.go and state.go. Why (why.go,
// whychange.go) explains one combination by the full model at the middle gel. LearnSpread
// (learn*.go) replaces the assumed spreads by those that make a group's whole log likeliest.
//
// Counts (survival.go, proportion.go, repeats.go, spread.go, screening.go): what the
// tests alone say, and what no flashback is worth.
//
// # What the models leave out
//
// Every answer that rests on a model has to say so: fingering and a film left on the
// wall (a finger of liquid arrives sooner than a piston, by up to about half), slip at
// the wall, particles that can lock where the bore is only a few particle diameters,
// elastic recoil, friction of the stopper, gel already in the tissue at the tip, a
// tip against the wall of a vessel, a vein that collapses, movement of the tip.
//
// So a computed time is a calculation and not a test, a test on the bench is the
// best case, and no flashback never shows that the tip is outside a vessel.
//
// # Sources
//
//   - Chhabra, Richardson, Non-Newtonian Flow and Applied Rheology, 2nd ed.: gel in a tube.
//   - Herschel, Bulkley, Kolloid-Z 39 (1926) 291: the law of the gel.
//   - Washburn, Phys Rev 17 (1921) 273: the moving front.
//   - ISO 9626:2016: bores by gauge and wall class.
//   - IAPWS-IF97: vapour pressure of water.
//   - Bakshi, Smith, J Dairy Sci 67 (1984) 1157: milk.
//   - Takahasi, Mori, Publ. RIMS 9 (1974) 721: double-exponential quadrature.
//   - Kaplan, Meier, J Am Stat Assoc 53 (1958) 457; Greenwood (1926): survival.
//   - Clopper, Pearson, Biometrika 26 (1934) 404: limits of a proportion.
//   - ISO 5725-2:1994; Williams, Biometrika 49 (1962) 278; Satterthwaite, Biometrics 2
//     (1946) 110: repeatability and reproducibility.
//   - Talts et al. (2018), arXiv:1804.06788: calibration of an estimate by simulation.
//
// Constants without a published source are assumptions and say so where they stand:
// HubLength, AssumedWall, the shares of wall classes, odd set-ups and lots, SuppliedGas,
// FixedNeedleGas, DefaultPull, the priors by gel class, the default Spread, the repeats
// that settle a spread, the usual working year.
package calc
