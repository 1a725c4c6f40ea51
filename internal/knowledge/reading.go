package knowledge

import (
	"sync"

	"holdbench/internal/calc"
)

// question is what can be asked of an estimate: a set-up at a pull, held against
// what the community asks of a hold.
type question struct {
	setup calc.Setup
	pull  calc.Volume
	rule  calc.HoldRule
}

// reading is an estimate's answer to a question. What takes long to compute is
// computed once, when it is first asked for.
type reading struct {
	forecast *calc.Forecast
	verdict  calc.Verdict
	worth    func() (calc.Worth, error) // of one more test, watched as long as is useful

	mu      sync.Mutex
	weighed map[combinationKey]*weighed
}

// weighed is what the tests of one combination say, by themselves and against
// the forecast. Two combinations may be one set-up to the model and still have
// tests of their own.
type weighed struct {
	tests, flagged []int // places in the file's tests
	counts         Counts
	surprise       float64
	advice         calc.Advice
}

// readings keeps the answers an estimate has given, up to maxReadings.
type readings struct {
	mu    sync.Mutex
	given map[question]*reading
}

// maxReadings bounds how many answers one estimate keeps: the combinations of a
// product at the usual pulls. Beyond it the answers are dropped and begin anew.
const maxReadings = 64

// count is how many answers are kept.
func (r *readings) count() int {
	r.mu.Lock()
	defer r.mu.Unlock()
	return len(r.given)
}

// reading returns the answer to a question.
func (f *productFile) reading(ask question) (*reading, error) {
	f.readings.mu.Lock()
	r := f.readings.given[ask]
	f.readings.mu.Unlock()
	if r != nil {
		return r, nil
	}
	forecast, err := f.estimate.Forecast(ask.setup, ask.pull)
	if err != nil {
		return nil, err
	}
	r = &reading{
		forecast: forecast,
		verdict:  forecast.Verdict(ask.rule.Ceiling),
		worth:    onceWorth(forecast, ask.rule.Ceiling),
		weighed:  make(map[combinationKey]*weighed),
	}
	f.readings.mu.Lock()
	defer f.readings.mu.Unlock()
	if len(f.readings.given) >= maxReadings || f.readings.given == nil {
		f.readings.given = make(map[question]*reading)
	}
	f.readings.given[ask] = r
	return r, nil
}

func onceWorth(forecast *calc.Forecast, ceiling calc.Seconds) func() (calc.Worth, error) {
	return sync.OnceValues(func() (calc.Worth, error) { return forecast.Worth(ceiling, WatchSeconds(ceiling)) })
}

// weigh weighs the tests of one combination, once.
func (r *reading) weigh(file *productFile, k combinationKey, rule calc.HoldRule) (*weighed, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if w, ok := r.weighed[k]; ok {
		return w, nil
	}
	w := &weighed{surprise: 1}
	var tests []BenchTest
	var trials []calc.Trial
	for i, t := range file.tests {
		if keyOf(t.Combination) != k {
			continue
		}
		trial, err := t.Trial()
		if err != nil {
			return nil, err
		}
		trials = append(trials, trial)
		tests = append(tests, t)
		w.tests = append(w.tests, i)
		if t.Slip > flaggedAbove {
			w.flagged = append(w.flagged, i)
		}
	}
	if len(tests) > 0 {
		var err error
		if w.counts, err = count(tests, rule.Ceiling); err != nil {
			return nil, err
		}
		w.surprise = r.forecast.Surprise(trials, rule.Ceiling)
	}
	w.advice = r.advise(file, k, tests, trials, rule)
	r.weighed[k] = w
	return w, nil
}

// pick returns copies of the tests at these places.
func (f *productFile) pick(places []int) []BenchTest {
	if len(places) == 0 {
		return nil
	}
	tests := make([]BenchTest, len(places))
	for i, place := range places {
		tests[i] = f.tests[place]
	}
	return tests
}
