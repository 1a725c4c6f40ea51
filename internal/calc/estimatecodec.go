package calc

import (
	"encoding/binary"
	"errors"
	"math"
)

// estimateFormat is the version of the form that an Estimate is stored in: this version, the
// spreads, the points, the tested set-ups; little-endian. Reals take four bytes, but for the
// spreads and the set-ups, which must come back to the last bit.
const estimateFormat = 2

// ErrBadEstimate says that bytes are not an estimate of this program's form. The remedy is to fit
// again from the tests.
var ErrBadEstimate = errors.New("not an estimate of this program's form")

// MarshalBinary returns the estimate in the form that it is stored in.
func (e *Estimate) MarshalBinary() ([]byte, error) {
	w := writer{}
	w.bytes = append(w.bytes, estimateFormat)
	w.doubles(e.spread.Combination, e.spread.Tester, e.spread.Rest)
	w.count(len(e.points))
	for i, g := range e.points {
		w.bytes = append(w.bytes, byte(g.rung))
		w.reals(g.lnK, g.lnYield, e.weight[i])
	}
	w.count(len(e.setups))
	for _, t := range e.setups {
		w.setup(t)
	}
	return w.bytes, nil
}

// UnmarshalBinary reads what MarshalBinary wrote. Errors: ErrBadEstimate.
func (e *Estimate) UnmarshalBinary(data []byte) error {
	if len(data) == 0 || data[0] != estimateFormat {
		return ErrBadEstimate
	}
	r := reader{bytes: data[1:]}
	got := Estimate{spread: Spread{r.double(), r.double(), r.double()}}
	points := r.count(13)
	got.points, got.weight = make([]gelPoint, 0, points), make([]float64, 0, points)
	for range points {
		got.points = append(got.points, gelPoint{rung: int(r.byte()), lnK: r.real(), lnYield: r.real()})
		got.weight = append(got.weight, r.real())
	}
	for range r.count(32) {
		got.setups = append(got.setups, r.setup(got.spread, len(got.points)))
	}
	if r.failed || len(r.bytes) > 0 || got.check() != nil {
		return ErrBadEstimate
	}
	*e = got
	return nil
}

// check returns an error unless an estimate that was read can be computed with.
func (e *Estimate) check() error {
	if err := e.spread.check(); err != nil {
		return err
	}
	if len(e.points) == 0 {
		return ErrBadEstimate
	}
	for i, g := range e.points {
		if g.rung >= ladderLength || !finite(g.lnK) || !finite(g.lnYield) || !(e.weight[i] >= 0) {
			return ErrBadEstimate
		}
	}
	for _, t := range e.setups {
		if err := t.setup.check(); err != nil {
			return err
		}
	}
	return nil
}

type writer struct{ bytes []byte }

func (w *writer) count(n int) { w.bytes = binary.LittleEndian.AppendUint32(w.bytes, uint32(n)) }

func (w *writer) doubles(xs ...float64) {
	for _, x := range xs {
		w.bytes = binary.LittleEndian.AppendUint64(w.bytes, math.Float64bits(x))
	}
}

func (w *writer) reals(xs ...float64) {
	for _, x := range xs {
		w.bytes = binary.LittleEndian.AppendUint32(w.bytes, math.Float32bits(float32(x)))
	}
}

func (w *writer) setup(t setupEstimate) {
	w.doubles(float64(t.setup.Tube.Bore), float64(t.setup.Tube.Length), float64(t.setup.Gas))
	w.count(t.setup.UnrecordedWall)
	w.reals(t.odd)
	w.count(len(t.slips))
	w.reals(t.slips...)
	w.count(t.grid.half)
	w.count(t.grid.stride)
	for _, rows := range t.rows {
		for _, row := range rows {
			w.count(row.first)
			w.count(len(row.mass))
			w.reals(row.mass...)
		}
	}
}

// reader reads on after a failure; failed has to be asked only at the end.
type reader struct {
	bytes  []byte
	failed bool
}

func (r *reader) take(n int) []byte {
	if len(r.bytes) < n {
		r.failed = true
		return make([]byte, n)
	}
	b := r.bytes[:n]
	r.bytes = r.bytes[n:]
	return b
}

func (r *reader) byte() byte      { return r.take(1)[0] }
func (r *reader) double() float64 { return math.Float64frombits(binary.LittleEndian.Uint64(r.take(8))) }
func (r *reader) real() float64 {
	return float64(math.Float32frombits(binary.LittleEndian.Uint32(r.take(4))))
}

// count reads the number of things that follow, each of at least so many bytes.
func (r *reader) count(each int) int {
	n := binary.LittleEndian.Uint32(r.take(4))
	if uint64(n)*uint64(each) > uint64(len(r.bytes)) {
		r.failed = true
		return 0
	}
	return int(n)
}

// reals reads n four-byte numbers, each between 0 and 1: probabilities.
func (r *reader) reals(n int) []float64 {
	xs := make([]float64, n)
	for i := range xs {
		xs[i] = r.real()
		if !(xs[i] >= 0 && xs[i] <= 1) {
			r.failed = true
		}
	}
	return xs
}

func (r *reader) setup(s Spread, points int) setupEstimate {
	t := setupEstimate{setup: Setup{
		Tube: Tube{Bore: Length(r.double()), Length: Length(r.double())}, Gas: Volume(r.double()),
		UnrecordedWall: r.count(0),
	}}
	t.odd = r.reals(1)[0]
	t.slips = r.reals(r.count(4))
	half, stride := r.count(0), r.count(0)
	if half > 1<<16 || stride < 1 || stride > 1<<16 || t.setup.check() != nil {
		r.failed = true
		return t
	}
	t.grid = deltaGridOf(half, stride, s)
	for range t.setup.tubes() {
		rows := make([]deltaRow, 0, points)
		for range points {
			row := deltaRow{first: r.count(0)}
			row.mass = r.reals(r.count(4))
			if r.failed || row.first+len(row.mass) > t.grid.lines() {
				r.failed = true
				return t
			}
			rows = append(rows, row)
		}
		t.rows = append(t.rows, packed(rows))
	}
	return t
}
