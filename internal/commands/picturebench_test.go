package commands

import "testing"

// BenchmarkPictures is a picture from the question typed to the Card, everything
// it stands on being computed already: the limit is 150 ms.
func BenchmarkPictures(b *testing.B) {
	env := demoEnv(b)
	for name, line := range map[string]string{
		"share": "/explain picture orrick mid 27G 13 mm", "share-untested": "/explain picture dunmere deep 30G 8 mm",
		"share-dark": "/explain picture orrick mid 27G 13 mm background:dark", "coverage": "/group coverage",
		"testers": "/group testers", "mine": "/mine",
	} {
		b.Run(name, func(b *testing.B) { benchmarkPictureCard(b, env, line) })
	}
}

// BenchmarkCoverageOfLargeGroup is the first page of 200 products × 50 tests.
func BenchmarkCoverageOfLargeGroup(b *testing.B) {
	benchmarkPictureCard(b, learnEnv(b), "/group coverage")
}

func benchmarkPictureCard(b *testing.B, env *Env, line string) {
	b.Helper()
	if card := says(b, env, askingMember, line); card.Picture == nil {
		b.Fatalf("%s\n%s", line, card.Text())
	}
	for b.Loop() {
		says(b, env, askingMember, line)
	}
}
