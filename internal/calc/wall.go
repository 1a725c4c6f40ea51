package calc

// wallShares say which wall class a tube has whose wall class is not on record
// (assumption, from memory). Classes that the standard lacks for a gauge are left
// out and the rest scaled up.
var wallShares = [...]struct {
	wall  WallClass
	share float64
}{{Regular, 0.30}, {Thin, 0.50}, {ExtraThin, 0.15}, {UltraThin, 0.05}}

// possibleTube is one tube that a set-up may have: the only one where its bore is
// known, else that of one wall class.
type possibleTube struct {
	wall  WallClass // "" where the bore is known
	path  path
	share float64 // before any test
}

// tubes are the possible tubes of a set-up, thickest wall first; their shares add up to 1.
func (s Setup) tubes() []possibleTube {
	if s.UnrecordedWall == 0 {
		return []possibleTube{{path: newPath(s.Tube), share: 1}}
	}
	var all []possibleTube
	var sum float64
	for _, w := range wallShares {
		if bore, err := MinimumBore(s.UnrecordedWall, w.wall); err == nil {
			all = append(all, possibleTube{w.wall, newPath(Tube{Bore: bore, Length: s.Tube.Length}), w.share})
			sum += w.share
		}
	}
	for i := range all {
		all[i].share /= sum
	}
	return all
}

// WallForecast is what is known of a set-up if its tube has one certain wall class.
type WallForecast struct {
	Wall     WallClass
	Share    float64   // probability of that class, the set-up's own tests taken into account
	Forecast *Forecast // as it would be if the box said so
}

// Walls returns the forecast for each wall class that the tube may have, thickest
// wall first: what a look at the box would settle. Nil where the bore is known.
func (f *Forecast) Walls() []WallForecast {
	if len(f.tubes) < 2 {
		return nil
	}
	all := make([]WallForecast, len(f.tubes))
	for k, t := range f.tubes {
		share := t.share
		if t.rows != nil {
			share = 0
			for i, w := range f.estimate.weight {
				share += w * t.rows[i].sum()
			}
		}
		one := *f
		one.tubes = f.tubes[k : k+1]
		one.begin()
		all[k] = WallForecast{Wall: t.wall, Share: min(max(share, 0), 1), Forecast: &one}
	}
	return all
}
