package commands

import (
	"bytes"
	"context"
	"fmt"
	"log/slog"
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
)

// The community whose spread is learned under way.
const (
	learnProducts = 200
	learnTests    = 50 // of each product, on five set-ups
)

// learnEnv is a community whose tests are drawn from the model with the default
// spreads and a fixed seed, by five testers, two on every combination.
func learnEnv(b *testing.B) *Env {
	b.Helper()
	ctx := context.Background()
	store, err := knowledge.Open(ctx, filepath.Join(b.TempDir(), "learn.db"), knowledge.WithClock(stopped))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { store.Close() })
	group, err := store.Found(ctx, knowledge.NewCommunity{Ref: "learn", Name: "Learn", Zone: "UTC"})
	if err != nil {
		b.Fatal(err)
	}
	var products, instruments, members, tests bytes.Buffer
	products.WriteString("name,gel_class,aliases,first_stocked\n")
	instruments.WriteString("name,kind,gauge,length_mm,wall,bore_mm\n27G 13 mm needle,needle,27,13,thin,\n" +
		"30G 13 mm needle,needle,30,13,thin,\n30G 4 mm needle,needle,30,4,thin,\n25G 38 mm " +
		"cannula,cannula,25,38,thin,\n29G 13 mm needle,needle,29,13,thin,\n")
	members.WriteString("member,role\nquayside,member\nlantern,trainer\ntidewell,member\nosier,member\nharbour,member\n")
	tests.WriteString("tested_on,member,product,instrument,syringe,liquid,liquid_c,pull_ml,limit_s,outcome,seconds,timing,note\n")
	random := rand.New(rand.NewPCG(200, 50))
	for i := range learnProducts {
		fmt.Fprintf(&products, "%s,medium HA,,2025-01-01\n", bigName(i))
		gel := calc.Gel{Consistency: 45 * math.Exp(0.5*random.NormFloat64()), Index: 0.36,
			Yield: calc.Pressure(30 * math.Exp(0.7*random.NormFloat64()))}
		for t := range tubes {
			drawTests(b, &tests, random, bigName(i), gel, t)
		}
	}
	fill(b, group, knowledge.ProductFile, &products)
	fill(b, group, knowledge.InstrumentFile, &instruments)
	fill(b, group, knowledge.MemberFile, &members)
	fill(b, group, knowledge.TestFile, &tests)
	return &Env{Group: group, Now: stopped, Log: slog.New(slog.DiscardHandler)}
}

// learnTubes are tubes, thin wall, by bore and exposed length in millimetres.
var learnTubes = [...][2]float64{{0.241, 13}, {0.165, 13}, {0.165, 4}, {0.292, 38}, {0.19, 13}}

// drawTests writes a combination's tests as lines of a file.
func drawTests(b *testing.B, file *bytes.Buffer, random *rand.Rand, product string, gel calc.Gel, tube int) {
	size := learnTubes[tube]
	bore, length := calc.Length(size[0])*calc.Millimetre, calc.Length(size[1])*calc.Millimetre+calc.HubLength
	suction, err := calc.Draw{Pull: calc.DefaultPull, Gas: calc.SuppliedGas}.Suction()
	if err != nil {
		b.Fatal(err)
	}
	spread := calc.DefaultSpread()
	departure := spread.Combination * random.NormFloat64()
	testers := []string{"quayside", "lantern", "tidewell", "osier", "harbour"}
	for _, t := range random.Perm(len(testers))[:2] {
		hand := spread.Tester * random.NormFloat64()
		for range learnTests / len(tubes) / 2 {
			off := math.Exp(departure + hand + spread.Rest*random.NormFloat64())
			exit, err := calc.GelOnlyExitTime(gel, calc.Tube{Bore: bore, Length: length}, suction*calc.Pressure(off))
			if err != nil {
				b.Fatal(err)
			}
			outcome := fmt.Sprintf("flashback,%.2f", float64(exit.Time))
			if exit.Time > 30 {
				outcome = "none,"
			}
			fmt.Fprintf(file, "2026-02-03,%s,%s,%s,supplied,whole milk,20,0.1,30,%s,video 30 fps,\n", testers[t],
				product, tubes[tube], outcome)
		}
	}
}

// BenchmarkQuestionsWhileLearning asks warm questions, one after the other, while
// the spread of 200 products × 50 tests is learned beside it, and while every
// estimate is made anew for it after that.
func BenchmarkQuestionsWhileLearning(b *testing.B) {
	env, ctx := learnEnv(b), context.Background()
	var questions []string
	for i := range learnProducts {
		questions = append(questions, "hold time for "+bigName(i)+" on 27g half inch")
	}
	i := 0
	ask := func() (took time.Duration, own bool) {
		begun := time.Now()
		card := says(b, env, askingMember, questions[i%len(questions)])
		took = time.Since(begun)
		if i++; card.Refused || card.Failed || card.Untested || len(card.Sources) != 1 {
			b.Fatalf("%s", card.Text())
		}
		return took, card.Figures.(answered).Spread == fromGroup
	}
	for range questions {
		ask()
	}
	for b.Loop() {
		var alone, learning, after []time.Duration
		for begun := time.Now(); time.Since(begun) < 3*time.Second; {
			took, _ := ask()
			alone = append(alone, took)
		}
		done := make(chan error, 1)
		begun := time.Now()
		go func() {
			_, err := env.Group.LearnSpreadsNow(ctx)
			done <- err
		}()
		var inForce time.Duration
		for ended := false; !ended; {
			took, own := ask()
			if own {
				after = append(after, took)
			} else {
				learning, inForce = append(learning, took), time.Since(begun)
			}
			select {
			case err := <-done:
				if err != nil {
					b.Fatal(err)
				}
				ended = true
			default:
			}
		}
		b.ReportMetric(inForce.Seconds(), "learning-s")
		b.ReportMetric(time.Since(begun).Seconds()-inForce.Seconds(), "refitting-s")
		reportLatency(b, "alone", alone)
		reportLatency(b, "learning", learning)
		reportLatency(b, "refitting", after)
	}
}

// reportLatency reports the median and the slowest hundredth, in milliseconds.
func reportLatency(b *testing.B, phase string, took []time.Duration) {
	if len(took) == 0 {
		return
	}
	slices.Sort(took)
	at := func(p float64) float64 { return took[int(p*float64(len(took)-1))].Seconds() * 1e3 }
	b.ReportMetric(at(0.5), phase+"-p50-ms")
	b.ReportMetric(at(0.99), phase+"-p99-ms")
}
