package calc

import (
	"errors"
	"math"
	"testing"
)

func TestViscosityOfWholeMilk(t *testing.T) {
	before := Viscosity(math.Inf(1))
	for _, c := range []struct {
		at   Celsius
		mPas float64
	}{
		// Bakshi, Smith, J Dairy Sci 67 (1984) 1157, 3.5 % fat (seen); the printed digits
		{4, 3.559}, {20, 2.083}, {25, 1.782},
	} {
		got, err := WholeMilk(c.at)
		if mPas := float64(got / MillipascalSecond); err != nil || math.Abs(mPas-c.mPas) > 0.0005 || got >= before {
			t.Errorf("at %g °C: %.8g mPa·s, want %g (%v)", float64(c.at), mPas, c.mPas, err)
		}
		before = got
	}
	for _, at := range []Celsius{-1, 30.5, Celsius(math.NaN())} {
		var outside *RangeError
		if got, err := WholeMilk(at); !errors.As(err, &outside) || got != 0 {
			t.Errorf("at %g °C: %g, %v; want a *RangeError", float64(at), float64(got), err)
		}
	}
}
