package knowledge

import (
	"context"
	"database/sql"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// NewCommunity is what it takes to found one.
type NewCommunity struct {
	Ref     string       // the platform's id: "local", "demo", a guild id
	Name    string       // as its members know it
	Zone    string       // IANA time zone, "UTC" if empty
	Ceiling calc.Seconds // the longest hold it calls usable, DefaultCeiling if 0
}

// Settings is what a community has set for itself.
type Settings struct {
	Name, Zone string
	Ceiling    calc.Seconds // the longest hold it calls usable
	Target     float64      // the share of tests a hold must cover

	TrainerRole     string // the platform's id of the role whose holders are trainers, "" none
	ReminderChannel string // the platform's id of the channel for reminders, "" off
	ProtocolLink    string // the https address of its own emergency protocol, "" none

	ReminderWeekday time.Weekday // the day of the weekly prompt
	ReminderHour    int          // and its hour, 0 to 23, where the community is
	BoxItems        int          // a bench session is proposed at so many items
	BoxDays         int          // or before the oldest has lain there so long
	KeepDays        int          // what it knows is kept so long after the program left its server
}

// What holds until a community sets something else: 10 s is a commonly taught
// minimum hold (practice, no source), 9 in 10 the project's choice.
const (
	DefaultCeiling calc.Seconds = 10
	DefaultTarget               = 0.9
	MaxCeiling     calc.Seconds = 120 // holds are looked for up to here
)

// Found starts a community with the syringes that everybody has: the supplied
// one and fixed-needle syringes of 0.3, 0.5 and 1 mL.
//
// Errors: *FieldError; ErrDuplicate if there is a community by that ref.
func (s *Store) Found(ctx context.Context, c NewCommunity) (g *Group, err error) {
	defer wrap(&err, "found community %q", c.Ref)
	if c.Ceiling == 0 {
		c.Ceiling = DefaultCeiling
	}
	if c.Zone == "" {
		c.Zone = "UTC"
	}
	if err := c.validate(); err != nil {
		return nil, err
	}
	err = s.inTx(ctx, func(q querier) error {
		var id int64
		err := q.row(ctx, `
			INSERT INTO communities (ref, name, zone, ceiling_s, target_share, founded_at)
			VALUES (?, ?, ?, ?, ?, ?) RETURNING id`,
			c.Ref, c.Name, c.Zone, float64(c.Ceiling), DefaultTarget, formatTime(s.now()),
		).Scan(&id)
		if err != nil {
			return err
		}
		g = s.group(id, c.Ref)
		for _, syringe := range trade.FirstSyringes() {
			if _, err := g.insertSyringe(ctx, q, syringe); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return g, nil
}

func (c NewCommunity) validate() error {
	if err := trade.CheckText("community id", c.Ref, 100); err != nil {
		return err
	}
	if err := trade.CheckText("community name", c.Name, 100); err != nil {
		return err
	}
	if _, err := time.LoadLocation(c.Zone); err != nil {
		return trade.Refuse("time zone", "%q is not a known time zone; write it like Europe/Lisbon", c.Zone)
	}
	return trade.CheckAbove("ceiling", float64(c.Ceiling), 0, float64(MaxCeiling), "s")
}

// Group returns the handle to the community with that ref. ErrNotFound if none.
func (s *Store) Group(ctx context.Context, ref string) (g *Group, err error) {
	defer wrap(&err, "community %q", ref)
	var id int64
	err = s.look().row(ctx, `SELECT id FROM communities WHERE ref = ?`, ref).Scan(&id)
	if err != nil {
		return nil, err
	}
	return s.group(id, ref), nil
}

// Groups returns the handles to all communities, in the order founded, as they are
// at one moment: one may get another ref, or be erased, meanwhile. For what the
// program does unasked; a question is always about one of them.
func (s *Store) Groups(ctx context.Context) (groups []*Group, err error) {
	defer wrap(&err, "communities")
	return collect(ctx, s.look(), func(rows *sql.Rows, g **Group) error {
		var id int64
		var ref string
		if err := rows.Scan(&id, &ref); err != nil {
			return err
		}
		*g = s.group(id, ref)
		return nil
	}, `SELECT id, ref FROM communities ORDER BY id`)
}

// Settings returns what the community has set for itself.
func (g *Group) Settings(ctx context.Context) (s Settings, err error) {
	defer wrap(&err, "settings of %q", g.ref)
	err = g.store.look().row(ctx, `
		SELECT name, zone, ceiling_s, target_share, trainer_role, reminder_channel, protocol_link,
		       reminder_weekday, reminder_hour, box_items, box_days, keep_days
		FROM communities WHERE id = ?`, g.id,
	).Scan(&s.Name, &s.Zone, &s.Ceiling, &s.Target, &s.TrainerRole, &s.ReminderChannel, &s.ProtocolLink,
		&s.ReminderWeekday, &s.ReminderHour, &s.BoxItems, &s.BoxDays, &s.KeepDays)
	return s, err
}

// SetCeiling sets the longest hold the community calls usable, in seconds:
// above 0, at most MaxCeiling.
func (g *Group) SetCeiling(ctx context.Context, ceiling calc.Seconds) (err error) {
	defer wrap(&err, "set ceiling of %q", g.ref)
	if err := trade.CheckAbove("ceiling", float64(ceiling), 0, float64(MaxCeiling), "s"); err != nil {
		return err
	}
	return g.store.inTx(ctx, func(q querier) error {
		_, err := q.exec(ctx, `UPDATE communities SET ceiling_s = ? WHERE id = ?`, float64(ceiling), g.id)
		return err
	})
}

// SetTarget sets the share of tests that a hold must cover: 0.5 to 0.99.
func (g *Group) SetTarget(ctx context.Context, target float64) (err error) {
	defer wrap(&err, "set target of %q", g.ref)
	if err := trade.CheckRange("target share", target, 0.5, 0.99, ""); err != nil {
		return err
	}
	return g.store.inTx(ctx, func(q querier) error {
		_, err := q.exec(ctx, `UPDATE communities SET target_share = ? WHERE id = ?`, target, g.id)
		return err
	})
}

// today returns the day it is where the community is.
func (g *Group) today(ctx context.Context, q querier) (string, error) {
	zone, err := g.zone(ctx, q)
	if err != nil {
		return "", err
	}
	return g.store.now().In(zone).Format(dayText), nil
}

// zone returns the community's time zone.
func (g *Group) zone(ctx context.Context, q querier) (*time.Location, error) {
	var name string
	if err := q.row(ctx, `SELECT zone FROM communities WHERE id = ?`, g.id).Scan(&name); err != nil {
		return nil, err
	}
	return time.LoadLocation(name)
}
