package inside

import (
	"context"
	"strconv"
	"time"

	"github.com/prometheus/client_golang/prometheus"
)

// look asks the sources each time it is looked at, so that no figure is older than
// the page it stands on. What cannot be asked has no figure then.
type look struct {
	sources Sources

	store, connected, silence          *prometheus.Desc
	atHand, waiting, turnedAway        *prometheus.Desc
	backupWanted, backupAge, promptAge *prometheus.Desc
}

func newLook(sources Sources) *look {
	describe := func(name, help string, labels ...string) *prometheus.Desc {
		return prometheus.NewDesc("holdbench_"+name, help, labels, nil)
	}
	return &look{
		sources:   sources,
		store:     describe("store_up", "1 if the store answers."),
		connected: describe("gateway_connected", "1 if the shard is connected.", "shard"),
		silence: describe("gateway_silence_seconds", "For how long nothing was heard of the gateway, signs of "+
			"life included.", "shard"),
		atHand:       describe("work_at_hand", "Things being worked on.", "lane"),
		waiting:      describe("work_waiting", "Things waiting to be worked on.", "lane"),
		turnedAway:   describe("work_turned_away_total", "Things that there was no room for.", "lane"),
		backupWanted: describe("backup_wanted", "1 if nightly backups are asked for."),
		backupAge:    describe("backup_age_seconds", "Since the latest nightly backup was made; absent if none ever was."),
		promptAge: describe("prompt_age_seconds", "Since a weekly prompt last went out to any community; absent "+
			"if none ever did."),
	}
}

// Describe tells Prometheus which figures there may be.
func (l *look) Describe(to chan<- *prometheus.Desc) {
	for _, d := range []*prometheus.Desc{l.store, l.connected, l.silence, l.atHand, l.waiting, l.turnedAway,
		l.backupWanted, l.backupAge, l.promptAge} {
		to <- d
	}
}

// Collect asks.
func (l *look) Collect(to chan<- prometheus.Metric) {
	ctx, stop := context.WithTimeout(context.Background(), askLimit)
	defer stop()
	gauge := func(d *prometheus.Desc, value float64, labels ...string) {
		to <- prometheus.MustNewConstMetric(d, prometheus.GaugeValue, value, labels...)
	}
	gauge(l.store, oneIf(l.sources.Store(ctx) == nil))
	for _, s := range l.sources.Shards() {
		id := strconv.Itoa(s.ID)
		gauge(l.connected, oneIf(s.Connected), id)
		if !s.Heard.IsZero() {
			gauge(l.silence, l.since(s.Heard), id)
		}
	}
	for _, lane := range l.sources.Lanes() {
		gauge(l.atHand, float64(lane.AtHand), lane.Name)
		gauge(l.waiting, float64(lane.Waiting), lane.Name)
		to <- prometheus.MustNewConstMetric(l.turnedAway, prometheus.CounterValue, float64(lane.TurnedAway), lane.Name)
	}
	gauge(l.backupWanted, oneIf(l.sources.LastBackup != nil))
	if at, known := latest(ctx, l.sources.LastBackup); known {
		gauge(l.backupAge, l.since(at))
	}
	if at, known := latest(ctx, l.sources.LastPrompt); known {
		gauge(l.promptAge, l.since(at))
	}
}

// latest asks when something last was; false if it never was or cannot be told.
func latest(ctx context.Context, ask func(context.Context) (time.Time, error)) (at time.Time, known bool) {
	if ask == nil {
		return time.Time{}, false
	}
	at, err := ask(ctx)
	return at, err == nil && !at.IsZero()
}

// since is an age in seconds; a clock that was put back makes none below 0.
func (l *look) since(at time.Time) float64 { return max(0, l.sources.Now().Sub(at).Seconds()) }

func oneIf(is bool) float64 {
	if is {
		return 1
	}
	return 0
}
