package knowledge

import (
	"context"
	"errors"
	"fmt"
	"time"
)

// What may be set. The defaults stand in the store (Monday, 8 h, 5 items, 28
// days, 30 days after leaving): project's choice, no source.
const (
	mostBoxItems = 50
	mostBoxDays  = 365
	mostKeepDays = 3650
)

// SetReminderTime sets the weekday and the hour, 0 to 23, of the weekly prompt,
// where the community is. *FieldError for others.
func (g *Group) SetReminderTime(ctx context.Context, day time.Weekday, hour int) (err error) {
	defer wrap(&err, "set reminder time of %q", g.ref)
	if day < time.Sunday || day > time.Saturday {
		return refuse("weekday", "there is no day number %d of a week", day)
	}
	if err := checkRange("hour", float64(hour), 0, 23, ""); err != nil {
		return err
	}
	return g.store.inTx(ctx, func(q querier) error {
		_, err := q.Exec(ctx, `
			UPDATE communities SET reminder_weekday = ?, reminder_hour = ? WHERE id = ?`, int(day), hour, g.id)
		return err
	})
}

// SetBoxLimits sets when a bench session is proposed: at so many items in a
// member's box, 1 to 50, or before the oldest has lain there so many days, 1 to
// 365. *FieldError for others.
func (g *Group) SetBoxLimits(ctx context.Context, items, days int) (err error) {
	defer wrap(&err, "set box limits of %q", g.ref)
	if err := checkRange("items in the box", float64(items), 1, mostBoxItems, ""); err != nil {
		return err
	}
	if err := checkRange("days in the box", float64(days), 1, mostBoxDays, "days"); err != nil {
		return err
	}
	return g.store.inTx(ctx, func(q querier) error {
		_, err := q.Exec(ctx, `
			UPDATE communities SET box_items = ?, box_days = ? WHERE id = ?`, items, days, g.id)
		return err
	})
}

// SetKeepDays sets how many days, 1 to 3650, what the community knows is kept
// after the program has left its server. *FieldError for others.
func (g *Group) SetKeepDays(ctx context.Context, days int) (err error) {
	defer wrap(&err, "set days kept of %q", g.ref)
	if err := checkRange("days kept", float64(days), 1, mostKeepDays, "days"); err != nil {
		return err
	}
	return g.set(ctx, `UPDATE communities SET keep_days = ? WHERE id = ?`, days)
}

// EraseDue erases every community whose server the program left longer ago than
// the community's own KeepDays, and returns their refs. One that fails leaves
// the others be.
func (s *Store) EraseDue(ctx context.Context) (refs []string, err error) {
	defer wrap(&err, "erase communities due")
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
// set weekday where the community is, and the set hour has begun. An hour that
// the clocks skip has begun when they have passed it; one they repeat is due
// in both, which is why a prompt is claimed by its week: "2026-W48", as ISO 8601
// counts them there.
func (s Settings) PromptDue(now time.Time) (week string, due bool, err error) {
	zone, err := time.LoadLocation(s.Zone)
	if err != nil {
		return "", false, err
	}
	there := now.In(zone)
	year, number := there.ISOWeek()
	week = fmt.Sprintf("%04d-W%02d", year, number)
	return week, there.Weekday() == s.ReminderWeekday && there.Hour() >= s.ReminderHour, nil
}
