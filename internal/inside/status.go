package inside

import (
	"slices"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
)

// Status counts answers, and serves the counts with the rest of the bot's state.
type Status struct {
	sources  Sources
	registry *prometheus.Registry
	answers  *prometheus.CounterVec
	took     *prometheus.HistogramVec
}

// other stands for whatever is not on a list, so that no label can grow.
const other = "other"

// answerSeconds are the bounds of the histogram, in seconds: an answer is deferred after 1.2 s, Discord waits for 3 s,
// and work is stopped after a minute.
func answerSeconds() []float64 {
	return []float64{0.05, 0.1, 0.25, 0.5, 1, 1.5, 2, 3, 5, 10, 30, 60}
}

// New makes a Status of these sources.
func New(sources Sources) *Status {
	s := &Status{
		sources:  sources,
		registry: prometheus.NewRegistry(),
		answers: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "holdbench_answers_total", Help: "Things asked, by command and outcome.",
		}, []string{"command", "outcome"}),
		took: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: "holdbench_answer_seconds", Help: "Time from receiving something to answering it.",
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
	s.registry.MustRegister(s.answers, s.took, build, newCollector(sources),
		collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return s
}

// Answer counts one answer. A command or an outcome that is not among the sources' counts as other.
func (s *Status) Answer(command, outcome string, took time.Duration) {
	if !slices.Contains(s.sources.Commands, command) {
		command = other
	}
	if !slices.Contains(s.sources.Outcomes, outcome) {
		outcome = other
	}
	s.answers.WithLabelValues(command, outcome).Inc()
	s.took.WithLabelValues(command).Observe(took.Seconds())
}
