package knowledge

import (
	"sync"
	"weak"

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
// computed once, when it is first asked for, however many ask at once.
type reading struct {
	make     func() error
	forecast *calc.Forecast
	verdict  calc.Verdict
	worth    func() (calc.Worth, error) // of one more test, watched as long as is useful

	mu      sync.Mutex
	weighed map[combinationKey]*weighed
}

// weighed is what the tests of one combination say, by themselves and against
// the forecast. Two combinations may be one set-up to the model and still have
// tests of their own. It stands for as long as those tests are the same, whatever is
// logged of others.
type weighed struct {
	own    weak.Pointer[testedFile] // weak: a list that was made longer is not kept for this
	others bool                     // the gel was tested in another set-up, too
	counts Counts
	advice calc.Advice
}

// readings keeps the answers an estimate has given, up to maxReadings. Files with the same estimate share them.
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
	if r == nil {
		r = &reading{weighed: make(map[combinationKey]*weighed)}
		r.make = sync.OnceValue(func() error { return r.read(f.estimate, ask) })
		if len(f.readings.given) >= maxReadings || f.readings.given == nil {
			f.readings.given = make(map[question]*reading)
		}
		f.readings.given[ask] = r
	}
	f.readings.mu.Unlock()
	return r, r.make()
}

func (r *reading) read(estimate *calc.Estimate, ask question) (err error) {
	if r.forecast, err = estimate.Forecast(ask.setup, ask.pull); err != nil {
		return err
	}
	r.verdict = r.forecast.Verdict(ask.rule.Ceiling)
	r.worth = sync.OnceValues(func() (calc.Worth, error) {
		return r.forecast.Worth(ask.rule.Ceiling, WatchSeconds(ask.rule.Ceiling))
	})
	return nil
}

// weigh weighs the tests of one combination, once for as long as they are the same.
func (r *reading) weigh(file *productFile, k combinationKey, rule calc.HoldRule) (w *weighed, err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	own := file.of(k)
	others := file.othersTested(own)
	if w, ok := r.weighed[k]; ok && w.own == weak.Make(own) && w.others == others {
		return w, nil
	}
	w = &weighed{own: weak.Make(own), others: others}
	if own != nil {
		if w.counts, err = own.count(rule.Ceiling); err != nil {
			return nil, err
		}
	}
	w.advice = r.advise(own, others, rule)
	r.weighed[k] = w
	return w, nil
}
