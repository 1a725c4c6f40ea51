package question

import (
	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// The demonstration community's vocabulary: invented, like all of it.
var (
	demoProducts = []trade.Product{
		{ID: 1, Name: "Larnoch Hydra", Aliases: []string{"hydra"}},
		{ID: 2, Name: "Tamsel Fine", Aliases: []string{"t fine", "tamsel f"}},
		{ID: 3, Name: "Tamsel Soft", Aliases: []string{"t soft", "tamsel s"}},
		{ID: 4, Name: "Pellow Lip", Aliases: []string{"p lip"}},
		{ID: 5, Name: "Orrick Mid", Aliases: []string{"o mid"}},
		{ID: 6, Name: "Orrick Firm", Aliases: []string{"o firm"}},
		{ID: 7, Name: "Pellow Contour", Aliases: []string{"p contour", "contour"}},
		{ID: 8, Name: "Dunmere Deep", Aliases: []string{"deep"}},
		{ID: 9, Name: "Hesk Paste", Aliases: []string{"hesk", "hesk undiluted"}, Class: calc.CaHAPaste},
		{ID: 10, Name: "Hesk Paste 1:1", Aliases: []string{"hesk diluted", "diluted hesk"}, Class: calc.DilutedCaHA},
	}
	demoInstruments = []trade.Instrument{
		{ID: 1, Kind: trade.Needle, Gauge: 27, LengthMM: 13, Wall: "thin"},
		{ID: 2, Kind: trade.Needle, Gauge: 27, LengthMM: 19, Wall: "thin"},
		{ID: 3, Kind: trade.Needle, Gauge: 29, LengthMM: 13, Wall: "thin"},
		{ID: 4, Kind: trade.Needle, Gauge: 30, LengthMM: 13, Wall: "thin"},
		{ID: 5, Kind: trade.Needle, Gauge: 30, LengthMM: 4, Wall: "thin"},
		{ID: 6, Kind: trade.Needle, Gauge: 30, LengthMM: 8, Wall: "thin"},
		{ID: 7, Kind: trade.Needle, Gauge: 31, LengthMM: 8, Wall: "thin"},
		{ID: 8, Kind: trade.Needle, Gauge: 32, LengthMM: 4, Wall: "thin"},
		{ID: 9, Kind: trade.Cannula, Gauge: 25, LengthMM: 38, Wall: "thin"},
		{ID: 10, Kind: trade.Cannula, Gauge: 22, LengthMM: 50, Wall: "thin"},
		{ID: 11, Kind: trade.Cannula, Gauge: 27, LengthMM: 38, Wall: "thin"},
	}
	demoSyringes = []trade.Syringe{
		{ID: 1, Name: "supplied"},
		{ID: 2, Name: "fixed-needle 0.3 mL", FixedNeedle: true, VolumeML: 0.3},
		{ID: 3, Name: "fixed-needle 0.5 mL", FixedNeedle: true, VolumeML: 0.5},
		{ID: 4, Name: "fixed-needle 1 mL", FixedNeedle: true, VolumeML: 1},
	}
)

func demoIndex() *Index { return NewIndex(demoProducts, demoInstruments, demoSyringes) }
