package knowledge

import (
	"context"
	"errors"
	"fmt"
	"time"
)

// dueLooks is how many times in a row an erasure must be found due before it is done. A
// clock that runs ahead for a while, as after a power cut, must not erase early. With one
// look an hour it may run ahead for five hours; a clock that is set over the network is right
// within minutes (project's choice).
const dueLooks = 6

// EraseDue looks for communities whose server the program left longer ago than their
// KeepDays. It erases those that were due at the dueLooks looks up to this one, and returns
// their refs. Call it once an hour. A community that fails does not stop the others.
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

// PromptDue reports whether the weekly prompt is due: in the community's time zone it is the
// set weekday, or the day after for a prompt that was missed all day, and the set hour has
// begun. An hour that the clocks skip has begun once they have passed it. An hour that they
// repeat is due twice. So a prompt is claimed by the ISO 8601 week of the set day: "2026-W48".
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
