package inside

import (
	"context"
	"strconv"
	"time"

	"github.com/prometheus/client_golang/prometheus"
)

// collector asks the sources at each scrape, so that no figure is older than its page. A source that cannot answer has
// no figure then.
type collector struct {
	sources Sources

	store, connected, silence          *prometheus.Desc
	atHand, waiting, turnedAway        *prometheus.Desc
	backupWanted, backupAge, promptAge *prometheus.Desc
}

func newCollector(sources Sources) *collector {
	describe := func(name, help string, labels ...string) *prometheus.Desc {
		return prometheus.NewDesc("holdbench_"+name, help, labels, nil)
	}
	return &collector{
		sources:   sources,
		store:     describe("store_up", "1 if the store answers."),
		connected: describe("gateway_connected", "1 if the shard is connected.", "shard"),
		silence: describe("gateway_silence_seconds", "For how long nothing was heard of the gateway, signs of "+
			"life included.", "shard"),
		atHand:       describe("work_at_hand", "Things being worked on.", "lane"),
		waiting:      describe("work_waiting", "Things waiting to be worked on.", "lane"),
		turnedAway:   describe("work_turned_away_total", "Things that there was no room for.", "lane"),
		backupWanted: describe("backup_wanted", "1 if nightly backups are asked for."),
		backupAge:    describe("backup_age_seconds", "Since the latest nightly backup; absent if there was none."),
		promptAge: describe("prompt_age_seconds", "Since a weekly prompt last went out to any community; absent "+
			"if none ever did."),
	}
}

// Describe implements prometheus.Collector.
func (c *collector) Describe(to chan<- *prometheus.Desc) {
	for _, d := range []*prometheus.Desc{c.store, c.connected, c.silence, c.atHand, c.waiting, c.turnedAway,
		c.backupWanted, c.backupAge, c.promptAge} {
		to <- d
	}
}

// Collect implements prometheus.Collector.
func (c *collector) Collect(to chan<- prometheus.Metric) {
	ctx, stop := context.WithTimeout(context.Background(), askLimit)
	defer stop()
	gauge := func(d *prometheus.Desc, value float64, labels ...string) {
		to <- prometheus.MustNewConstMetric(d, prometheus.GaugeValue, value, labels...)
	}
	gauge(c.store, oneIf(c.sources.Store(ctx) == nil))
	for _, s := range c.sources.Shards() {
		id := strconv.Itoa(s.ID)
		gauge(c.connected, oneIf(s.Connected), id)
		if !s.Heard.IsZero() {
			gauge(c.silence, c.since(s.Heard), id)
		}
	}
	for _, lane := range c.sources.Lanes() {
		gauge(c.atHand, float64(lane.AtHand), lane.Name)
		gauge(c.waiting, float64(lane.Waiting), lane.Name)
		to <- prometheus.MustNewConstMetric(c.turnedAway, prometheus.CounterValue, float64(lane.TurnedAway), lane.Name)
	}
	gauge(c.backupWanted, oneIf(c.sources.LastBackup != nil))
	if at, known := latest(ctx, c.sources.LastBackup); known {
		gauge(c.backupAge, c.since(at))
	}
	if at, known := latest(ctx, c.sources.LastPrompt); known {
		gauge(c.promptAge, c.since(at))
	}
}

// latest asks when something last happened; false if it never has or the source does not answer.
func latest(ctx context.Context, ask func(context.Context) (time.Time, error)) (at time.Time, known bool) {
	if ask == nil {
		return time.Time{}, false
	}
	at, err := ask(ctx)
	return at, err == nil && !at.IsZero()
}

// since is an age in seconds, 0 if the clock was put back meanwhile.
func (c *collector) since(at time.Time) float64 { return max(0, c.sources.Now().Sub(at).Seconds()) }

func oneIf(is bool) float64 {
	if is {
		return 1
	}
	return 0
}
