package calc

// wallShares are the shares of the wall classes among tubes whose wall class is not on record
// (assumption, from memory). For a gauge that lacks a class in the standard, the others are scaled
// up.
var wallShares = [...]struct {
	wall  WallClass
	share float64
}{{Regular, 0.30}, {Thin, 0.50}, {ExtraThin, 0.15}, {UltraThin, 0.05}}

// possibleTube is one tube that a set-up may have: the only one where its bore is known, else the
// tube of one wall class.
type possibleTube struct {
	wall     WallClass // "" where the bore is known
	lnAspect float64
	share    float64 // before any test
}

// tubes returns the possible tubes of a set-up, thickest wall first; their shares add up to 1.
func (s Setup) tubes() []possibleTube {
	if s.UnrecordedWall == 0 {
		return []possibleTube{{lnAspect: s.Tube.lnAspect(), share: 1}}
	}
	var all []possibleTube
	var sum float64
	for _, w := range wallShares {
		if bore, err := MinimumBore(s.UnrecordedWall, w.wall); err == nil {
			all = append(all, possibleTube{w.wall, Tube{Bore: bore, Length: s.Tube.Length}.lnAspect(), w.share})
			sum += w.share
		}
	}
	for i := range all {
		all[i].share /= sum
	}
	return all
}

// WallForecast is the forecast of a set-up if its tube has one certain wall class.
type WallForecast struct {
	Wall     WallClass
	Forecast *Forecast // as if the box named that class
}

// Walls returns the forecast for each wall class that the tube may have, thickest wall first: what
// a look at the box may come to. It is nil where the bore is known.
func (f *Forecast) Walls() []WallForecast {
	if len(f.tubes) < 2 {
		return nil
	}
	all := make([]WallForecast, len(f.tubes))
	for k, t := range f.tubes {
		one := *f
		one.tubes = f.tubes[k : k+1]
		one.forget()
		all[k] = WallForecast{Wall: t.wall, Forecast: &one}
	}
	return all
}
