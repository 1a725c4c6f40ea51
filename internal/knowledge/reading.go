package knowledge

import (
	"sync"
	"weak"

	"holdbench/internal/calc"
)

// question is what an estimate is asked: a set-up at a pull, by the community's rule for a
// hold.
type question struct {
	setup calc.Setup
	pull  calc.Volume
	rule  calc.HoldRule
}

// reading is an estimate's answer to a question. What takes long is computed once, when
// first needed, however many ask at once.
type reading struct {
	make     func() error
	forecast *calc.Forecast
	verdict  calc.Verdict
	worth    func() (calc.Worth, error) // of one more test, watched as long as is useful

	mu      sync.Mutex
	weighed map[combinationKey]*weighed
}

// weighed is what the tests of one combination say, by themselves and against the forecast.
// Two combinations may be one set-up to the model and still have tests of their own. It is
// valid as long as those tests are the same, whatever is logged of other combinations.
type weighed struct {
	own    weak.Pointer[testedFile] // weak, so that a replaced list can be freed
	others bool                     // the gel was tested in another set-up, too
	counts Counts
	advice calc.Advice
}

// readings caches the answers of an estimate, up to maxReadings. Files with the same estimate share them.
type readings struct {
	mu    sync.Mutex
	given map[question]*reading
}

// maxReadings is enough for the combinations of a product at the usual pulls. Beyond it all
// cached answers of the estimate are dropped.
const maxReadings = 64

// count returns how many answers are cached.
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

// weigh weighs the tests of one combination; the result is cached while they are the same.
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
