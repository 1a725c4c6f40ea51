package inside

import (
	"slices"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
)

// Sight keeps count of answers and shows them with all else.
type Sight struct {
	sources  Sources
	registry *prometheus.Registry
	answers  *prometheus.CounterVec
	took     *prometheus.HistogramVec
}

// other stands for whatever is not on a list, so that no label can grow.
const other = "other"

// Bounds of the histogram, in seconds: the first answer is promised at 1.2 s, the
// platform waits for 3 s, and work is stopped after a minute.
func answerSeconds() []float64 {
	return []float64{0.05, 0.1, 0.25, 0.5, 1, 1.5, 2, 3, 5, 10, 30, 60}
}

// New makes a Sight that asks the sources given.
func New(sources Sources) *Sight {
	s := &Sight{
		sources:  sources,
		registry: prometheus.NewRegistry(),
		answers: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "holdbench_answers_total", Help: "Things asked, by command and by what became of them.",
		}, []string{"command", "outcome"}),
		took: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: "holdbench_answer_seconds", Help: "From when something was heard to when its answer stood there.",
			Buckets: answerSeconds(),
		}, []string{"command"}),
	}
	for _, command := range append(slices.Clone(sources.Commands), other) {
		s.took.WithLabelValues(command)
		for _, outcome := range sources.Outcomes {
			s.answers.WithLabelValues(command, outcome) // at 0, so that the first one is seen as a rise
		}
	}
	build := prometheus.NewGauge(prometheus.GaugeOpts{
		Name: "holdbench_build_info", Help: "1, with the build as a label.",
		ConstLabels: prometheus.Labels{"version": sources.Version},
	})
	build.Set(1)
	s.registry.MustRegister(s.answers, s.took, build, newLook(sources),
		collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return s
}

// Answer counts one answer. What is on neither list counts as other.
func (s *Sight) Answer(command, outcome string, took time.Duration) {
	if !slices.Contains(s.sources.Commands, command) {
		command = other
	}
	if !slices.Contains(s.sources.Outcomes, outcome) {
		outcome = other
	}
	s.answers.WithLabelValues(command, outcome).Inc()
	s.took.WithLabelValues(command).Observe(took.Seconds())
}
