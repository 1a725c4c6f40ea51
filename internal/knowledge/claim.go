package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"holdbench/internal/trade"
)

// Claim is a member's promise to test a combination by a day. A combination has at most one
// open claim.
type Claim struct {
	ID             int64
	Combination    trade.Combination
	Member         Member
	TakenOn, DueOn string // days, 2006-01-02
	State          ClaimState
	ClosedOn       string // "" while open
	TestID         int64  // the number of the test that closed it, 0 if none did
}

// ClaimState is what became of a claim.
type ClaimState string

// The states of a claim. The first two are open.
const (
	ClaimTaken    ClaimState = "taken"
	ClaimReminded ClaimState = "reminded"
	ClaimLogged   ClaimState = "logged"
	ClaimLapsed   ClaimState = "lapsed"
	ClaimGivenUp  ClaimState = "given up"
	ClaimMerged   ClaimState = "merged" // its product went into another with a claim of its own
)

// A claim runs for the week until the next prompt unless a day is given, and for two months
// at most; its member is reminded the day before. All are the project's choice.
const (
	usualClaimDays  = 7
	longestClaim    = 60
	remindDaysAhead = 1
)

// ErrTaken: somebody else has an open claim on it. A *TakenError says who.
var ErrTaken = errors.New("taken on by somebody else")

// TakenError is ErrTaken with the open claim.
type TakenError struct{ Claim Claim }

// Error names no member.
func (e *TakenError) Error() string {
	return fmt.Sprintf("%s until %s", ErrTaken, e.Claim.DueOn)
}

// Unwrap makes it an ErrTaken.
func (e *TakenError) Unwrap() error { return ErrTaken }

// TakeOn records that a member will test a combination by a day, a week from today if "". If
// the member has an open claim on it already, that gets the new day. A claim past its day
// lapses first.
//
// Errors: *FieldError for a day that is over or more than 60 days off;
// *TakenError; ErrNotFound for a member or product that is not there.
func (g *Group) TakeOn(ctx context.Context, m Member, c trade.Combination, dueOn string) (claim Claim, err error) {
	defer wrap(&err, "take on")
	return resultOf(ctx, g.store.inTx, func(q querier) (Claim, error) {
		return g.takeOn(ctx, q, m, c, dueOn)
	})
}

func (g *Group) takeOn(ctx context.Context, q querier, m Member, c trade.Combination, dueOn string) (claim Claim,
	err error) {
	claim = Claim{State: ClaimTaken}
	if claim.TakenOn, err = g.today(ctx, q); err != nil {
		return Claim{}, err
	}
	if claim.DueOn, err = dueDay(claim.TakenOn, dueOn); err != nil {
		return Claim{}, err
	}
	if claim.Member, err = g.resolveMember(ctx, q, m); err != nil {
		return Claim{}, err
	}
	if claim.Combination, err = g.placeOrAdd(ctx, q, c); err != nil {
		return Claim{}, err
	}
	k := keyOf(claim.Combination)
	if _, err := g.lapse(ctx, q, claim.TakenOn, k); err != nil {
		return Claim{}, err
	}
	open, err := g.readClaims(ctx, q, `
		c.community_id = ? AND c.product_id = ? AND c.instrument_id = ? AND c.syringe_id = ? AND c.closed_on = ''`,
		g.id, k.product, k.instrument, k.syringe)
	if err != nil {
		return Claim{}, err
	}
	if len(open) > 0 {
		return g.putOff(ctx, q, open[0], claim)
	}
	err = q.Row(ctx, `
		INSERT INTO claims (community_id, product_id, instrument_id, syringe_id, member_id, taken_on, due_on, state)
		VALUES (?, ?, ?, ?, ?, ?, ?, 'taken') RETURNING id`,
		g.id, k.product, k.instrument, k.syringe, claim.Member.ID, claim.TakenOn, claim.DueOn,
	).Scan(&claim.ID)
	return claim, err
}

// putOff gives an open claim the day of a new claim by the same member.
func (g *Group) putOff(ctx context.Context, q querier, open, again Claim) (Claim, error) {
	if open.Member.ID != again.Member.ID {
		return Claim{}, &TakenError{open}
	}
	open.DueOn = again.DueOn
	err := q.do(ctx, `UPDATE claims SET due_on = ? WHERE community_id = ? AND id = ?`, open.DueOn, g.id, open.ID)
	return open, err
}

// dueDay returns the day a claim is due.
func dueDay(today, typed string) (string, error) {
	if typed == "" {
		return addDays(today, usualClaimDays)
	}
	if err := trade.CheckDay("date", typed); err != nil {
		return "", err
	}
	latest, err := addDays(today, longestClaim)
	switch {
	case err != nil:
		return "", err
	case typed < today:
		return "", trade.Refuse("date", "%s is over", typed)
	case typed > latest:
		return "", trade.Refuse("date", "%s is more than %d days off", typed, longestClaim)
	}
	return typed, nil
}

// addDays returns the day that many days later.
func addDays(day string, days int) (string, error) {
	t, err := time.Parse(dayText, day)
	if err != nil {
		return "", err
	}
	return t.AddDate(0, 0, days).Format(dayText), nil
}

// GiveUp closes a member's claim as given up. A trainer may give up anybody's.
//
// Errors: ErrNotFound for a claim or member that is not there; *FieldError if
// the claim is closed already or somebody else's.
func (g *Group) GiveUp(ctx context.Context, m Member, id int64) (claim Claim, err error) {
	defer wrap(&err, "give up claim %d", id)
	err = g.store.inTx(ctx, func(q querier) error {
		if m, err = g.resolveMember(ctx, q, m); err != nil {
			return err
		}
		claim, err = only(g.readClaims(ctx, q, `c.community_id = ? AND c.id = ?`, g.id, id))
		switch {
		case err != nil:
			return err
		case claim.ClosedOn != "":
			return trade.Refuse("claim", "it is %s already", claim.State)
		case claim.Member.ID != m.ID && m.Role != TrainerRole:
			return trade.Refuse("claim", "it is somebody else's")
		}
		claim.State = ClaimGivenUp
		if claim.ClosedOn, err = g.today(ctx, q); err != nil {
			return err
		}
		return q.do(ctx, `
			UPDATE claims SET state = ?, closed_on = ?
			WHERE community_id = ? AND id = ?`, claim.State, claim.ClosedOn, g.id, id)
	})
	return claim, err
}

// Claims returns the open claims by the day they are due.
func (g *Group) Claims(ctx context.Context) (claims []Claim, err error) {
	defer wrap(&err, "claims")
	return resultOf(ctx, g.store.snapshot, func(q querier) ([]Claim, error) {
		return g.readClaims(ctx, q, `c.community_id = ? AND c.closed_on = '' ORDER BY c.due_on, c.id`, g.id)
	})
}

// readClaims returns the claims that a condition selects, which must begin with the community.
func (g *Group) readClaims(ctx context.Context, q querier, condition string, args ...any) ([]Claim, error) {
	return collectNamed(ctx, g, q, func(v *Vocabulary, rows *sql.Rows, c *Claim) (err error) {
		var k combinationKey
		var test sql.NullInt64
		m := &c.Member
		if err := rows.Scan(&c.ID, &k.product, &k.instrument, &k.syringe, &m.ID, &m.Ref, &m.Name, &m.Role,
			&c.TakenOn, &c.DueOn, &c.State, &c.ClosedOn, &test); err != nil {
			return err
		}
		c.TestID = test.Int64
		c.Combination, err = v.combination(k)
		return err
	}, `
		SELECT c.id, c.product_id, c.instrument_id, c.syringe_id, m.id, m.ref, m.name, m.role,
		       c.taken_on, c.due_on, c.state, c.closed_on, t.number
		FROM claims c
		JOIN members m ON m.community_id = c.community_id AND m.id = c.member_id
		LEFT JOIN tests t ON t.community_id = c.community_id AND t.id = c.test_id
		WHERE `+condition, args...)
}
