package chart

import (
	"fmt"

	"holdbench/internal/calc"
)

// coverageScenes are the scenes of the coverage.
func coverageScenes() map[string]Coverage {
	group := spreadCoverage(10, 11)
	group.Group = "Saltmarsh Lane Study Circle"
	group.Products = []string{"Larnoch Hydra", "Tamsel Fine", "Tamsel Soft", "Pellow Lip", "Orrick Mid", "Orrick Firm",
		"Pellow Contour", "Dunmere Deep", "Hesk Paste", "Hesk Paste 1:1"}
	group.Instruments = []Instrument{
		{Gauge: 27, LengthMM: 13}, {Gauge: 27, LengthMM: 19}, {Gauge: 29, LengthMM: 13}, {Gauge: 30, LengthMM: 4},
		{Gauge: 30, LengthMM: 8},
		{Gauge: 30, LengthMM: 13}, {Gauge: 31, LengthMM: 8}, {Gauge: 32, LengthMM: 4},
		{Cannula: true, Gauge: 22, LengthMM: 50}, {Cannula: true, Gauge: 25, LengthMM: 38},
		{Cannula: true, Gauge: 27, LengthMM: 38},
	}
	long := spreadCoverage(4, 5)
	long.Group = "The Saltmarsh Lane and Outer Marshes Joint Study Circle of Injectors, Northern Section"
	for i := range long.Products {
		long.Products[i] = fmt.Sprintf("%d %s", i+1, longName)
	}
	long.Instruments[1].Note = "ultra-thin wall"
	long.Instruments[2].Note = "ultra-thin wall"
	long.Instruments[3].Note = "fixed-needle 0.3 mL syringe out of the second cupboard on the left"
	big := spreadCoverage(30, 20)
	big.Group = "A large group"
	one := Coverage{Group: "A new group", Ceiling: 8, Products: []string{"Orrick Mid"},
		Instruments: []Instrument{{Gauge: 30, LengthMM: 13}},
		Cells:       []Cell{{Tests: 1, State: calc.StateNotSettled, Holders: 1}}}
	two := Coverage{Group: "A new group", Ceiling: 10, Products: []string{"Orrick Mid", "Wollaston"},
		Instruments: []Instrument{{Gauge: 30, LengthMM: 13}, {Cannula: true, Gauge: 25, LengthMM: 38}},
		Cells:       []Cell{{Product: 1, Instrument: 1, Holders: 3}}}
	return map[string]Coverage{"10 by 11": group, "long names": long, "30 by 20": big, "one": one, "two untested": two,
		"empty": {Group: "A new group", Ceiling: 10}}
}

// spreadCoverage is a group of that size with every kind of cell in it.
func spreadCoverage(products, instruments int) Coverage {
	c := Coverage{Group: "A group", Ceiling: 10}
	for p := range products {
		c.Products = append(c.Products, fmt.Sprintf("Product %d", p+1))
	}
	for i := range instruments {
		c.Instruments = append(c.Instruments, Instrument{Cannula: i >= instruments*3/4, Gauge: 22 + i%11,
			LengthMM: float64(4 + i)})
	}
	states := looks()
	for p := range products {
		for i := range instruments {
			switch k := (p*7 + i*5 + p*i) % 11; {
			case k < 5:
				c.Cells = append(c.Cells, Cell{p, i, 1 + (p*3+i*2)%24, states[k].State, i % 3})
			case k < 8:
				c.Cells = append(c.Cells, Cell{Product: p, Instrument: i, Holders: 1 + (p+i)%4})
			}
		}
	}
	return c
}

// testerScenes are the scenes of the testers compared.
func testerScenes() map[string]TesterComparison {
	nine := []Tester{
		{"quayside", 14, 1.02, 0.88, 1.18, false}, {"millbrook", 21, 1.31, 1.12, 1.53, true},
		{"fernhill", 17, 0.97, 0.85, 1.11, false},
		{"tidewell", 26, 1.05, 0.94, 1.17, false}, {"crossgate", 19, 0.93, 0.82, 1.06, false},
		{"harbour-row", 12, 1.10, 0.91, 1.33, false},
		{"osier", 15, 0.71, 0.60, 0.84, true}, {"greywater", 3, 0, 0, 0, false},
		{"lantern", 17, 1.00, 0.87, 1.15, false},
	}
	wide := append([]Tester{{"far and away the slowest of us all", 2, 5, 1.5, 40, true},
		{"Wollaston", 2, 0.4, 0.05, 3.2, false}}, nine...)
	var many []Tester
	for i := range 40 {
		r := 0.7 + float64(i)*0.015
		many = append(many, Tester{fmt.Sprintf("member %d", i+1), 5 + i, r, r * 0.8, r * 1.25, r*1.25 < 1 || r*0.8 > 1})
	}
	return map[string]TesterComparison{
		"nine":          {"Saltmarsh Lane Study Circle", 0.95, nine, false},
		"wide and long": {"A group", 0.95, wide, false},
		"many":          {"A group", 0.95, many, false},
		"one":           {"A group", 0.95, []Tester{{Name: "quayside", Tests: 2}}, false},
		"empty":         {"A group", 0.95, nil, false},
	}
}
