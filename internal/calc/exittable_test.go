package calc

import "testing"

// The times of testdata/exit_gel_only.csv were computed with SciPy 1.10
// (scipy.integrate.quad), independently of this package.
func TestExitTableAgainstSciPy(t *testing.T) {
	rows := readFloats(t, "testdata/exit_gel_only.csv", 7)
	for _, r := range rows {
		table := newExitTable(r[3])
		g := Gel{Consistency: r[2], Index: r[3], Yield: Pressure(r[4])}
		got, err := table.ExitTime(g, Tube{Bore: Length(r[0]), Length: Length(r[1])}, Pressure(r[5]))
		if err != nil {
			t.Fatal(err)
		}
		if !near(float64(got), r[6], 1e-6) {
			t.Errorf("%v: %.9g s, want %.9g", r, got, r[6])
		}
	}
}

// Two routes: the suction that the table gives for a time must bring the liquid
// out in that time.
func TestExitTableSuctionInvertsExitTime(t *testing.T) {
	tube := Tube{Bore: 0.165 * Millimetre, Length: 18 * Millimetre}
	for _, n := range []float64{0.12, 0.2, 0.33, 0.5, 0.77, 1} {
		table := newExitTable(n)
		for _, yield := range []Pressure{0.01, 1, 30, 300} {
			for _, s := range []Seconds{0.01, 0.3, 1, 10, 120, 3600} {
				g := Gel{Consistency: 40, Index: n, Yield: yield}
				p, err := table.Suction(g, tube, s)
				if err != nil {
					t.Fatal(err)
				}
				back, err := table.ExitTime(g, tube, p)
				if err != nil {
					t.Fatal(err)
				}
				// Near the threshold a suction off by one part in 1e8 moves the
				// time a lot: the comparison is of suctions.
				again, err := table.Suction(g, tube, back)
				if err != nil {
					t.Fatal(err)
				}
				if !near(float64(again), float64(p), 2e-7) {
					t.Errorf("n %g, yield %g, %g s: suction %.9g, then %.9g", n, float64(yield), float64(s), float64(p),
						float64(again))
				}
			}
		}
	}
}

func TestExitTableRefusesForeignIndex(t *testing.T) {
	table := newExitTable(0.4)
	_, err := table.ExitTime(Gel{Consistency: 1, Index: 0.5}, Tube{Bore: Millimetre, Length: Millimetre}, 1)
	if err == nil {
		t.Error("a gel of another flow index was taken")
	}
}

func BenchmarkExitTimeByTable(b *testing.B) {
	table := newExitTable(0.36)
	g := Gel{Consistency: 45, Index: 0.36, Yield: 30}
	tube := Tube{Bore: 0.165 * Millimetre, Length: 18 * Millimetre}
	for b.Loop() {
		if _, err := table.ExitTime(g, tube, 75*Kilopascal); err != nil {
			b.Fatal(err)
		}
	}
}
