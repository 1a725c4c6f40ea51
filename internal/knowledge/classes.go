package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// Class is one combination that everybody in a channel tests for an hour.
type Class struct {
	ID          int64
	Combination trade.Combination
	PullML      float64
	Liquid      string
	LiquidC     float64
	Channel     string // the platform's id of the channel
	OpenedAt    time.Time
	ClosesAt    time.Time
	Open        bool // by the store's clock when it was read
	Tests       int  // kept tests made in it
	Testers     int
}

// ClassLasts is how long a class is open unless it is ended (project's choice).
const ClassLasts = time.Hour

// EndedByHand reports whether somebody closed it before its hour was over.
func (c Class) EndedByHand() bool { return c.ClosesAt.Before(c.OpenedAt.Add(ClassLasts)) }

// ErrClassOpen says that another class is open in the channel.
var ErrClassOpen = errors.New("another class is open there")

// OpenClass opens a class for an hour and returns it as stored. If the same class is open in
// the channel already, it returns that one. An instrument or syringe that is not on the list
// yet is added to it.
//
// Errors: *FieldError; ErrNotFound for a product that is not there; ErrClassOpen.
func (g *Group) OpenClass(ctx context.Context, c Class) (opened Class, err error) {
	defer wrap(&err, "open a class")
	return resultOf(ctx, g.store.inTx, func(q querier) (Class, error) {
		return g.openClass(ctx, q, c)
	})
}

func (g *Group) openClass(ctx context.Context, q querier, c Class) (Class, error) {
	now := g.store.now().UTC().Truncate(timeStep)
	err := BenchTest{Combination: c.Combination, TestedOn: now.Format(dayText), Liquid: c.Liquid, LiquidC: c.LiquidC,
		PullML: c.PullML, WatchedS: 1, Outcome: None, Timing: "stopwatch"}.Validate()
	if err != nil {
		return Class{}, err
	}
	if c.Combination, err = g.placeOrAdd(ctx, q, c.Combination); err != nil {
		return Class{}, err
	}
	k := keyOf(c.Combination)
	there, err := g.readClasses(ctx, q, `
		c.community_id = ? AND c.channel_ref = ? AND c.closes_at > ? ORDER BY c.id`, g.id, c.Channel, formatTime(now))
	if err != nil {
		return Class{}, err
	}
	if len(there) > 0 {
		open := there[0]
		if keyOf(open.Combination) == k && open.PullML == c.PullML && open.Liquid == c.Liquid &&
			open.LiquidC == c.LiquidC {
			return open, nil
		}
		return Class{}, ErrClassOpen
	}
	c.OpenedAt, c.ClosesAt, c.Open = now, now.Add(ClassLasts), true
	err = q.Row(ctx, `
		INSERT INTO classes (community_id, product_id, instrument_id, syringe_id, pull_ml, liquid, liquid_c,
		                     channel_ref, opened_at, closes_at)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?) RETURNING id`,
		g.id, k.product, k.instrument, k.syringe, c.PullML, c.Liquid, c.LiquidC,
		c.Channel, formatTime(c.OpenedAt), formatTime(c.ClosesAt),
	).Scan(&c.ID)
	return c, err
}

// Class returns a class. ErrNotFound if there is none by that number.
func (g *Group) Class(ctx context.Context, id int64) (c Class, err error) {
	defer wrap(&err, "class %d", id)
	return resultOf(ctx, g.store.snapshot, func(q querier) (Class, error) {
		return only(g.readClasses(ctx, q, `c.community_id = ? AND c.id = ?`, g.id, id))
	})
}

// ClassIn returns the latest class of a channel, open or not. ErrNotFound if there was
// none.
func (g *Group) ClassIn(ctx context.Context, channel string) (c Class, err error) {
	defer wrap(&err, "class of a channel")
	return resultOf(ctx, g.store.snapshot, func(q querier) (Class, error) {
		return only(g.readClasses(ctx, q, `
			c.community_id = ? AND c.channel_ref = ? ORDER BY c.id DESC LIMIT 1`, g.id, channel))
	})
}

// ClassesOver returns the classes that closed by themselves since a moment, in the order
// opened.
func (g *Group) ClassesOver(ctx context.Context, since time.Time) (over []Class, err error) {
	defer wrap(&err, "classes that are over")
	var all []Class
	err = g.store.snapshot(ctx, func(q querier) error {
		all, err = g.readClasses(ctx, q, `c.community_id = ? AND c.closes_at > ? ORDER BY c.id`, g.id, formatTime(since))
		return err
	})
	for _, c := range all {
		if !c.Open && !c.EndedByHand() {
			over = append(over, c)
		}
	}
	return over, err
}

// EndClass closes a class now. A class that is closed already stays as it is.
//
// Errors: ErrNotFound for a class that is not there.
func (g *Group) EndClass(ctx context.Context, id int64) (c Class, err error) {
	defer wrap(&err, "end class %d", id)
	err = g.store.inTx(ctx, func(q querier) error {
		now := formatTime(g.store.now().UTC().Truncate(timeStep))
		if err := q.do(ctx, `
			UPDATE classes SET closes_at = ?
			WHERE community_id = ? AND id = ? AND closes_at > ?`, now, g.id, id, now); err != nil {
			return err
		}
		c, err = only(g.readClasses(ctx, q, `c.community_id = ? AND c.id = ?`, g.id, id))
		return err
	})
	return c, err
}

// checkClass refuses a test made in a class that is over. A correction may come later.
func (g *Group) checkClass(ctx context.Context, q querier, t BenchTest) error {
	if t.Class == 0 || t.Corrects != 0 {
		return nil
	}
	c, err := only(g.readClasses(ctx, q, `c.community_id = ? AND c.id = ?`, g.id, t.Class))
	if err == nil && !c.Open {
		err = trade.Refuse("class", "it is over")
	}
	return err
}

// readClasses returns the classes that a condition selects, which must begin with the community.
func (g *Group) readClasses(ctx context.Context, q querier, condition string, args ...any) ([]Class, error) {
	now := g.store.now()
	return collectNamed(ctx, g, q, func(v *Vocabulary, rows *sql.Rows, c *Class) (err error) {
		var k combinationKey
		if err := rows.Scan(&c.ID, &k.product, &k.instrument, &k.syringe, &c.PullML, &c.Liquid, &c.LiquidC, &c.Channel,
			timeColumn{&c.OpenedAt}, timeColumn{&c.ClosesAt}, &c.Tests, &c.Testers); err != nil {
			return err
		}
		c.Open = now.Before(c.ClosesAt)
		c.Combination, err = v.combination(k)
		return err
	}, `
		SELECT c.id, c.product_id, c.instrument_id, c.syringe_id, c.pull_ml, c.liquid, c.liquid_c, c.channel_ref,
		       c.opened_at, c.closes_at,
		       (SELECT COUNT(*) FROM tests t WHERE t.class_id = c.id AND t.state = 'kept'),
		       (SELECT COUNT(DISTINCT t.tester_id) FROM tests t WHERE t.class_id = c.id AND t.state = 'kept')
		FROM classes c WHERE `+condition, args...)
}

// ClassReport is what a class found.
type ClassReport struct {
	Class
	Made     []BenchTest        // the kept tests of its set-up, by hand and in the order logged
	Measured *calc.RepeatSpread // repeatability and reproducibility of them, with SpreadConfidence; nil without repeats
	Hands    []TesterStanding   // members with a flashback in it, compared by the scatter of the whole log
}

// ClassSpread returns what a class has found so far.
//
// Errors: ErrNotFound for a class that is not there.
func (g *Group) ClassSpread(ctx context.Context, id int64) (r ClassReport, err error) {
	defer wrap(&err, "spread of class %d", id)
	var members []Member
	var all []BenchTest
	err = g.store.snapshot(ctx, func(q querier) error {
		if r.Class, err = only(g.readClasses(ctx, q, `c.community_id = ? AND c.id = ?`, g.id, id)); err != nil {
			return err
		}
		if members, err = g.members(ctx, q); err != nil {
			return err
		}
		all, err = g.readTests(ctx, q, keptByPull, g.id)
		return err
	})
	if err != nil {
		return ClassReport{}, err
	}
	for _, t := range all {
		if t.Class == id && keyOf(t.Combination) == keyOf(r.Combination) && t.PullML == r.PullML {
			r.Made = append(r.Made, t)
		}
	}
	measured, err := calc.MeasureSpread(repeatsOf(r.Made, false), SpreadConfidence)
	if err == nil {
		r.Measured = &measured
	} else if !errors.Is(err, calc.ErrTooFewRepeats) {
		return ClassReport{}, err
	}
	spread, err := handSpread(timed(withoutSlips(all)), false)
	if err != nil {
		return ClassReport{}, err
	}
	found := compareAll(timed(r.Made), func(t BenchTest) int64 { return t.Tester.ID }, true, spread)
	for _, m := range members {
		if s := found[m.ID].standing(m); s.Tests > 0 {
			r.Hands = append(r.Hands, s)
		}
	}
	return r, nil
}
