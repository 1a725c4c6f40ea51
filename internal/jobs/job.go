package jobs

import (
	"context"
	"time"

	"holdbench/internal/knowledge"
)

// Job declares one kind of unasked post.
type Job struct {
	Name string // lower case, as typed

	due  func(moment) bool
	tidy func(context.Context, *knowledge.Group, moment) error // runs whether it is due or not; nil for nothing
	find func(context.Context, *knowledge.Group, moment) ([]draft, error)
}

// All lists the jobs in the order in which they are run.
func All() []*Job {
	return []*Job{claimsJob(), boxJob(), classJob(), correctionsJob(), newsJob(), methodJob(), promptJob()}
}

// Find returns the job of that name, nil if there is none.
func Find(name string) *Job {
	for _, job := range All() {
		if job.Name == name {
			return job
		}
	}
	return nil
}

// draft is a post that has not been claimed yet.
type draft struct {
	kind knowledge.NoticeKind
	keys []string // what it says, one each; the post says only what no other program has claimed
	once bool     // it is not tried again if its channel takes no posts
	// write makes the post from the keys that were claimed. A Card without a title means that there is nothing to say.
	write func(ctx context.Context, mine map[string]bool) (Post, error)
}

// moment is a time as one community sees it.
type moment struct {
	now      time.Time // in the community's zone
	day      string    // 2006-01-02
	week     string    // the weekly prompt's key
	prompt   bool      // the weekly prompt is due, or was missed yesterday
	settings knowledge.Settings
}

const dayForm = "2006-01-02"

func at(ctx context.Context, g *knowledge.Group, now time.Time) (m moment, err error) {
	if m.settings, err = g.Settings(ctx); err != nil {
		return moment{}, err
	}
	zone, err := time.LoadLocation(m.settings.Zone)
	if err != nil {
		return moment{}, err
	}
	m.now = now.In(zone)
	m.day = m.now.Format(dayForm)
	if m.week, m.prompt, err = m.settings.PromptDue(now); err != nil || !m.prompt ||
		m.now.Weekday() == m.settings.ReminderWeekday {
		return m, err
	}
	// It is the day after. A prompt that was missed is made up for, but a new community has missed none.
	last, _, err := g.PromptSpan(ctx, m.week, now)
	m.prompt = !last.IsZero()
	return m, err
}

// daytime reports whether the reminder hour has begun: nobody gets a post before it.
func daytime(m moment) bool { return m.now.Hour() >= m.settings.ReminderHour }

// daysAgo is the day that many calendar days before.
func (m moment) daysAgo(days int) string { return m.now.AddDate(0, 0, -days).Format(dayForm) }

// Preview returns what a job would post if it were due now. It claims, posts and changes nothing.
func Preview(ctx context.Context, g *knowledge.Group, job *Job, now time.Time) (posts []Post, err error) {
	m, err := at(ctx, g, now)
	if err != nil {
		return nil, err
	}
	drafts, err := job.find(ctx, g, m)
	if err != nil {
		return nil, err
	}
	for _, d := range drafts {
		mine := map[string]bool{}
		for _, key := range d.keys {
			mine[key] = true
		}
		p, err := d.write(ctx, mine)
		if err != nil {
			return nil, err
		}
		if p.Card.Title != "" {
			p.Community = g.Ref()
			posts = append(posts, p)
		}
	}
	return posts, nil
}
