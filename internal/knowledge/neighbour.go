package knowledge

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// Neighbour is a tested combination near another.
type Neighbour struct {
	Combination trade.Combination
	Tests       int        // kept tests
	State       calc.State // at the same pull, by the same rule
	Why         string     // "same gel, same length, one gauge wider"
}

// maxNeighbours is how many neighbours an answer names.
const maxNeighbours = 3

// nearest returns the nearest tested combinations: first the same product with other
// instruments and syringes, the nearest by the model in front, then other products of the
// same class with the same instrument.
func (g *Group) nearest(ctx context.Context, v *Vocabulary, file *productFile, e *Evidence) (near []Neighbour,
	err error) {
	for _, other := range file.nearest(e) {
		n, err := neighbour(file, other, e)
		if err != nil {
			return nil, err
		}
		near = append(near, n)
	}
	if len(near) == maxNeighbours || e.Combination.Instrument.ID == 0 {
		return near, nil
	}
	others, err := g.sameClass(ctx, v, e.Combination, maxNeighbours-len(near))
	if err != nil {
		return nil, err
	}
	for _, other := range others {
		file, err := g.productFile(ctx, other.combination.Product.ID, goByLong) // an answer waits only for its own gel
		if err != nil {
			return nil, err
		}
		n, err := neighbour(file, other, e)
		if err != nil {
			return nil, err
		}
		near = append(near, n)
	}
	return near, nil
}

// nearest returns the product's other tested combinations, the nearest first.
func (f *productFile) nearest(e *Evidence) []testedCombination {
	type placed struct {
		testedCombination
		distance float64
	}
	var others []placed
	for _, t := range f.tested {
		if keyOf(t.combination) != keyOf(e.Combination) {
			others = append(others, placed{t.testedCombination, distance(t.setup, e.Setup, e.Pull)})
		}
	}
	slices.SortStableFunc(others, func(a, b placed) int {
		return cmp.Or(cmp.Compare(a.distance, b.distance), cmp.Compare(b.tests, a.tests))
	})
	near := make([]testedCombination, 0, maxNeighbours)
	for _, other := range others[:min(maxNeighbours, len(others))] {
		near = append(near, other.testedCombination)
	}
	return near
}

// distance is how far apart two set-ups are to the model: the Euclidean distance in ln of the
// tube's length, ln of its bore and ln of the suction at the start.
func distance(a, b calc.Setup, pull calc.Volume) float64 {
	ln := func(x, y float64) float64 { return math.Log(x / y) }
	apart := math.Hypot(
		ln(float64(a.Tube.Length), float64(b.Tube.Length)),
		ln(float64(a.Tube.Bore), float64(b.Tube.Bore)))
	p, errA := calc.Draw{Pull: pull, Gas: a.Gas}.Suction()
	q, errB := calc.Draw{Pull: pull, Gas: b.Gas}.Suction()
	if errA != nil || errB != nil {
		return math.Inf(1) // one of them is outside the model
	}
	return math.Hypot(apart, ln(float64(p), float64(q)))
}

// sameClass returns tested combinations of other products of the same class with the same
// instrument, those with the same syringe first, then by their number of tests.
func (g *Group) sameClass(ctx context.Context, v *Vocabulary, c trade.Combination, most int) ([]testedCombination,
	error) {
	found, err := database.Collect(ctx, g.store.look(), func(rows *sql.Rows, t *testedCombination) (err error) {
		var k combinationKey
		if err := rows.Scan(&k.product, &k.instrument, &k.syringe, &t.tests); err != nil {
			return err
		}
		t.combination, err = v.combination(k)
		if errors.Is(err, ErrNotFound) {
			return nil // it was added after v was read, and is left out below
		}
		return err
	}, `
		SELECT product_id, instrument_id, syringe_id, kept_tests
		FROM tested_combinations
		WHERE community_id = ? AND instrument_id = ? AND gel_class = ?
		      AND kept_tests > 0 AND product_id <> ?
		ORDER BY CASE WHEN syringe_id = ? THEN 0 ELSE 1 END, kept_tests DESC, product_id
		LIMIT ?`,
		g.id, c.Instrument.ID, c.Product.Class, c.Product.ID, c.Syringe.ID, most)
	if err != nil {
		return nil, err
	}
	known := found[:0]
	for _, t := range found {
		if t.combination.Product.ID == 0 {
			continue
		}
		if t.setup, _, err = t.combination.Setup(); err != nil {
			return nil, err
		}
		known = append(known, t)
	}
	return known, nil
}

// neighbour returns what is known of a tested combination near the one asked about.
func neighbour(file *productFile, t testedCombination, e *Evidence) (Neighbour, error) {
	r, err := file.reading(question{t.setup, e.Pull, e.Rule})
	if err != nil {
		return Neighbour{}, err
	}
	w, err := r.weigh(file, keyOf(t.combination), e.Rule)
	if err != nil {
		return Neighbour{}, err
	}
	return Neighbour{Combination: t.combination, Tests: t.tests, State: w.advice.State(),
		Why: why(t.combination, e.Combination)}, nil
}

// why says in plain words what makes a combination near another.
func why(near, asked trade.Combination) string {
	var words []string
	if near.Product.ID == asked.Product.ID {
		words = append(words, "same gel")
	} else {
		words = append(words, fmt.Sprintf("another %s gel", near.Product.Class))
	}
	if near.Instrument.ID != 0 && near.Instrument.ID == asked.Instrument.ID {
		words = append(words, "same "+string(asked.Instrument.Kind))
	} else {
		words = append(words, compareInstruments(near.Instrument, asked.Instrument)...)
	}
	if near.Syringe.ID != asked.Syringe.ID {
		words = append(words, near.Syringe.Name+" syringe")
	}
	return strings.Join(words, ", ")
}

func compareInstruments(near, asked trade.Instrument) (words []string) {
	if near.Kind != asked.Kind {
		words = append(words, "a "+string(near.Kind))
	}
	switch longer := near.LengthMM - asked.LengthMM; {
	case longer == 0:
		words = append(words, "same length")
	case longer > 0:
		words = append(words, trade.Number(rounded(longer))+" mm longer")
	default:
		words = append(words, trade.Number(rounded(-longer))+" mm shorter")
	}
	return append(words, compareBores(near, asked))
}

// compareBores says which is wider. A lower gauge is a thicker tube, but only the wall class
// or a measured bore says how wide it is inside.
func compareBores(near, asked trade.Instrument) string {
	a, _, errA := near.Tube()
	b, _, errB := asked.Tube()
	gauges := asked.Gauge - near.Gauge // above 0: the near one is thicker
	switch {
	case errA != nil || errB != nil, a.Bore == b.Bore && gauges == 0:
		return "same gauge"
	case a.Bore == b.Bore:
		return "same bore"
	case gauges > 0 && a.Bore > b.Bore:
		return counted(gauges, "gauge") + " wider"
	case gauges < 0 && a.Bore < b.Bore:
		return counted(-gauges, "gauge") + " finer"
	case a.Bore > b.Bore:
		return "wider bore"
	}
	return "finer bore"
}

// counted writes "one gauge", "two gauges" … "11 gauges".
func counted(n int, what string) string {
	words := [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"}
	text := fmt.Sprint(n)
	if n < len(words) {
		text = words[n]
	}
	if n != 1 {
		what += "s"
	}
	return text + " " + what
}

// rounded removes the error of binary fractions from a difference of lengths.
func rounded(mm float64) float64 { return math.Round(mm*1000) / 1000 }
