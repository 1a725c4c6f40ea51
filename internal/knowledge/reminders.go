package knowledge

import (
	"context"
	"errors"
	"fmt"
	"time"
)

// dueLooks is at how many looks in a row an erasure must be due before it is done. A
// clock that runs ahead for a while, as after a power cut, must not erase early. With a
// look an hour it may do so for five hours (project's choice: machines that keep their
// clocks by the net are right within minutes).
const dueLooks = 6

// EraseDue looks for communities whose server the program left longer ago than the
// community's own KeepDays, erases those that were due at the looks before, too, and
// returns their refs. It is called once an hour; of several at once one looks after
// the other. One that fails leaves the others be.
func (s *Store) EraseDue(ctx context.Context) (refs []string, err error) {
	defer wrap(&err, "erase communities due")
	s.looking.Lock()
	defer s.looking.Unlock()
	var faults []error
	groups, err := s.Groups(ctx)
	if err != nil {
		return nil, err
	}
	for _, g := range groups {
		settings, err := g.Settings(ctx)
		left, errLeft := g.Left(ctx)
		if err := errors.Join(err, errLeft); err != nil {
			faults = append(faults, err)
			continue
		}
		before := s.now().AddDate(0, 0, -settings.KeepDays)
		if left.IsZero() || !left.Before(before) {
			delete(s.dueFor, g.id)
			continue
		}
		if s.dueFor[g.id]++; s.dueFor[g.id] < dueLooks {
			continue
		}
		if err := s.erase(ctx, g.ref, before); err != nil {
			faults = append(faults, err)
			continue
		}
		refs = append(refs, g.ref)
	}
	return refs, errors.Join(faults...)
}

// PromptDue reports whether the weekly prompt is due at a moment: it is the
// set weekday where the community is, or the day after, for a prompt that was missed
// all day, and the set hour has begun. An hour that the clocks skip has begun when
// they have passed it; one they repeat is due in both, which is why a prompt is
// claimed by the week of the set day: "2026-W48", as ISO 8601 counts them there.
func (s Settings) PromptDue(now time.Time) (week string, due bool, err error) {
	zone, err := time.LoadLocation(s.Zone)
	if err != nil {
		return "", false, err
	}
	there := now.In(zone)
	day := there
	if there.AddDate(0, 0, -1).Weekday() == s.ReminderWeekday {
		day = there.AddDate(0, 0, -1)
	}
	year, number := day.ISOWeek()
	week = fmt.Sprintf("%04d-W%02d", year, number)
	return week, day.Weekday() == s.ReminderWeekday && there.Hour() >= s.ReminderHour, nil
}
