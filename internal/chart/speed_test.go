package chart

import "testing"

// The limit is 150 ms a picture.
func BenchmarkShareByTime(b *testing.B) {
	c := shareScenes(b)["rich"]
	benchmarkPicture(b, c.Draw)
}

func BenchmarkShareByTimeUntested(b *testing.B) {
	c := shareScenes(b)["untested"]
	benchmarkPicture(b, c.Draw)
}

func BenchmarkCoverage10By11(b *testing.B) {
	c := coverageScenes()["10 by 11"]
	benchmarkPicture(b, func() (Picture, error) { return c.Draw(1) })
}

// One page of the largest group; its fullest has 15 × 12 cells.
func BenchmarkCoverage30By20(b *testing.B) {
	c := coverageScenes()["30 by 20"]
	benchmarkPicture(b, func() (Picture, error) { return c.Draw(1) })
}

func BenchmarkCoverageFullestPage(b *testing.B) {
	c := spreadCoverage(mostRows, mostColumns)
	benchmarkPicture(b, func() (Picture, error) { return c.Draw(1) })
}

func BenchmarkTesters(b *testing.B) {
	c := testerScenes()["many"]
	benchmarkPicture(b, func() (Picture, error) { return c.Draw(1) })
}

func benchmarkPicture(b *testing.B, draw func() (Picture, error)) {
	b.Helper()
	size := 0
	for b.Loop() {
		p, err := draw()
		if err != nil {
			b.Fatal(err)
		}
		size = len(p.PNG)
	}
	b.ReportMetric(float64(size)/1000, "kB")
}
