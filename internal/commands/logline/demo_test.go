package logline

import (
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/commands/question"
	"holdbench/internal/trade"
)

// demoDay is a Saturday, by the calendar.
var demoDay = time.Date(2026, 11, 28, 0, 0, 0, 0, time.UTC)

// demoIndex is the demonstration community's list: invented, like all of it.
func demoIndex() *question.Index {
	products := []trade.Product{
		{ID: 1, Name: "Larnoch Hydra", Aliases: []string{"hydra"}}, {ID: 2, Name: "Tamsel Fine",
			Aliases: []string{"t fine", "tamsel f"}},
		{ID: 3, Name: "Tamsel Soft", Aliases: []string{"t soft", "tamsel s"}}, {ID: 4, Name: "Pellow Lip",
			Aliases: []string{"p lip"}},
		{ID: 5, Name: "Orrick Mid", Aliases: []string{"o mid"}},
		{ID: 6, Name: "Orrick Firm", Aliases: []string{"o firm"}},
		{ID: 7, Name: "Pellow Contour", Aliases: []string{"p contour", "contour"}}, {ID: 8, Name: "Dunmere Deep",
			Aliases: []string{"deep"}},
		{ID: 9, Name: "Hesk Paste", Aliases: []string{"hesk", "hesk undiluted"}, Class: calc.CaHAPaste},
		{ID: 10, Name: "Hesk Paste 1:1", Aliases: []string{"hesk diluted", "diluted hesk"}, Class: calc.DilutedCaHA},
	}
	var instruments []trade.Instrument
	for i, size := range [][2]float64{{27, 13}, {27, 19}, {29, 13}, {30, 13}, {30, 4}, {30, 8}, {31, 8}, {32, 4}} {
		instruments = append(instruments, trade.Instrument{ID: int64(i + 1), Kind: trade.Needle, Gauge: int(size[0]),
			LengthMM: size[1], Wall: calc.Thin})
	}
	for i, size := range [][2]float64{{25, 38}, {22, 50}, {27, 38}} {
		instruments = append(instruments, trade.Instrument{ID: int64(i + 9), Kind: trade.Cannula, Gauge: int(size[0]),
			LengthMM: size[1], Wall: calc.Thin})
	}
	return question.NewIndex(products, instruments, trade.FirstSyringes())
}
