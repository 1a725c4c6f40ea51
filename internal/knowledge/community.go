package knowledge

import (
	"context"
	"database/sql"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// NewCommunity is what founding a community takes.
type NewCommunity struct {
	Ref     string       // the platform's id: "local", "demo", a guild id
	Name    string       // as its members know it
	Zone    string       // IANA time zone, "UTC" if empty
	Ceiling calc.Seconds // the longest hold it calls usable, DefaultCeiling if 0
}

// The defaults until a community sets something else. 10 s is a commonly taught minimum
// hold (practice, no source); 9 in 10 is the project's choice.
const (
	DefaultCeiling calc.Seconds = 10
	DefaultTarget               = 0.9
	MaxCeiling     calc.Seconds = 120 // no hold is looked for beyond this
)

// Found starts a community with the syringes that everybody has: the supplied
// one and fixed-needle syringes of 0.3, 0.5 and 1 mL.
//
// Errors: *trade.FieldError; ErrDuplicate if there is a community by that ref.
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
		err := q.Row(ctx, `
			INSERT INTO communities (ref, name, zone, ceiling_s, target_share, least_tests, least_members, first_method,
			                         founded_at)
			VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?) RETURNING id`,
			c.Ref, c.Name, c.Zone, float64(c.Ceiling), DefaultTarget, DefaultLeastTests, DefaultLeastMembers,
			adviceMethod, formatTime(s.now()),
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
	if err := checkZone(c.Zone); err != nil {
		return err
	}
	return trade.CheckAbove("ceiling", float64(c.Ceiling), 0, float64(MaxCeiling), "s")
}

// Group returns the handle to the community with that ref. ErrNotFound if none.
func (s *Store) Group(ctx context.Context, ref string) (g *Group, err error) {
	defer wrap(&err, "community %q", ref)
	var id int64
	err = s.look().Row(ctx, `SELECT id FROM communities WHERE ref = ?`, ref).Scan(&id)
	if err != nil {
		return nil, err
	}
	return s.group(id, ref), nil
}

// Groups returns the handles to all communities, in the order founded. It is for what the
// program does unasked; a question is always about one community. Meanwhile a community may
// get another ref or be erased.
func (s *Store) Groups(ctx context.Context) (groups []*Group, err error) {
	defer wrap(&err, "communities")
	return database.Collect(ctx, s.look(), func(rows *sql.Rows, g **Group) error {
		var id int64
		var ref string
		if err := rows.Scan(&id, &ref); err != nil {
			return err
		}
		*g = s.group(id, ref)
		return nil
	}, `SELECT id, ref FROM communities ORDER BY id`)
}

// today returns the present day in the community's time zone.
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
	if err := q.Row(ctx, `SELECT zone FROM communities WHERE id = ?`, g.id).Scan(&name); err != nil {
		return nil, err
	}
	return time.LoadLocation(name)
}
