package knowledge

import (
	"context"
	"crypto/rand"
	"database/sql"
	"errors"
	"math"
	"time"
)

// When learning is due (project's choice, no source).
const (
	learnEvery  = 24 * time.Hour      // the least time between two turns
	learnAnyway = 28 * 24 * time.Hour // after this long, any change of the log is enough
	learnGrowth = 0.1                 // before that, so large a relative change in the number of repeats

	// turnLease is when a turn that was not ended may be taken by another: its program stopped. It is longer than the
	// longest log takes.
	turnLease = time.Hour
)

// spreadTurn is a turn at learning, and the log that it looked at.
type spreadTurn struct {
	turn, ended string // ended is "" while it lasts
	begun       time.Time
	model       int
	log         int64
	repeats     int
}

// takeSpreadTurn takes the turn at learning the spread, if that is due or asked for. mine is
// true for exactly one caller across all programs on the store.
func (g *Group) takeSpreadTurn(ctx context.Context, asked bool) (turn string, mine bool, err error) {
	last, there, err := g.lastTurn(ctx)
	now := g.store.now()
	if err != nil || there && last.ended == "" && leased(last.begun, now, turnLease) {
		return "", false, err
	}
	next := spreadTurn{turn: rand.Text(), begun: now, model: estimateModel}
	q := g.store.look()
	if next.log, err = g.logVersion(ctx, q); err != nil {
		return "", false, err
	}
	if !asked && there && last.ended != "" && last.model == next.model &&
		(last.log == next.log || leased(last.begun, now, learnEvery)) {
		return "", false, nil // decided before counting a long log
	}
	repeats, due, err := g.learningDue(ctx, q, last, next, asked)
	if err != nil || !due {
		return "", false, err
	}
	next.repeats = repeats
	mine, err = g.claimTurn(ctx, last, there, next)
	return next.turn, mine, err
}

// learningDue counts the repeats and reports whether the log has changed enough.
func (g *Group) learningDue(ctx context.Context, q querier, last, next spreadTurn, asked bool) (repeats int, due bool,
	err error) {
	r := SpreadReport{}
	if r.Repeats, r.RepeatedCombinations, err = g.countRepeats(ctx, q); err != nil {
		return 0, false, err
	}
	if r.InForce, err = g.inForce(ctx, q); err != nil {
		return 0, false, err
	}
	switch {
	case asked, r.Enough() != r.InForce.Own:
		due = true
	case r.Enough():
		moved := math.Abs(float64(r.Repeats - last.repeats))
		due = last.ended == "" || last.model != next.model || moved >= learnGrowth*float64(last.repeats) ||
			!leased(last.begun, next.begun, learnAnyway)
	}
	return r.Repeats, due, nil
}

// lastTurn reads the latest turn.
func (g *Group) lastTurn(ctx context.Context) (last spreadTurn, there bool, err error) {
	err = g.store.look().Row(ctx, `
		SELECT turn, begun_at, ended_at, model, log_version, repeats
		FROM spread_turns WHERE community_id = ?`, g.id,
	).Scan(&last.turn, timeColumn{&last.begun}, &last.ended, &last.model, &last.log, &last.repeats)
	if errors.Is(err, sql.ErrNoRows) {
		return spreadTurn{}, false, nil
	}
	return last, err == nil, err
}

// claimTurn replaces the last turn by the next, unless somebody else has done so since it
// was read.
func (g *Group) claimTurn(ctx context.Context, last spreadTurn, there bool, next spreadTurn) (mine bool, err error) {
	err = g.store.inTx(ctx, func(q querier) error {
		var changed int64
		if there {
			changed, err = q.Exec(ctx, `
				UPDATE spread_turns SET turn = ?, begun_at = ?, ended_at = '', model = ?, log_version = ?, repeats = ?
				WHERE community_id = ? AND turn = ? AND ended_at = ?`,
				next.turn, formatTime(next.begun), next.model, next.log, next.repeats, g.id, last.turn, last.ended)
		} else {
			changed, err = q.Exec(ctx, `
				INSERT INTO spread_turns (community_id, turn, begun_at, model, log_version, repeats)
				VALUES (?, ?, ?, ?, ?, ?)
				ON CONFLICT (community_id) DO NOTHING`,
				g.id, next.turn, formatTime(next.begun), next.model, next.log, next.repeats)
		}
		mine = changed == 1
		return err
	})
	return mine && err == nil, err
}

// endTurn ends a turn and puts in force what was learned; next is nil for nothing. If another
// has taken the turn meanwhile, nothing changes and the outcome is that nobody looked: the
// other reports what it learns.
func (g *Group) endTurn(ctx context.Context, turn string, next *GroupSpread, o *SpreadOutcome) error {
	return g.store.inTx(ctx, func(q querier) error {
		ended, err := q.Exec(ctx, `
			UPDATE spread_turns SET ended_at = ?
			WHERE community_id = ? AND turn = ? AND ended_at = ''`, formatTime(g.store.now()), g.id, turn)
		if ended == 0 {
			*o = SpreadOutcome{}
		}
		if err != nil || ended == 0 || next == nil {
			return err
		}
		now, err := g.inForce(ctx, q)
		if err != nil || now.Spread == next.Learned.Spread && now.Own == next.Own {
			return err // the same spread: no estimate would change
		}
		_, err = g.addSpread(ctx, q, *next)
		o.Changed = err == nil
		return err
	})
}

// giveBackWithin is how long giving a turn back may take when the program is about to end.
const giveBackWithin = 5 * time.Second

// giveTurnBack deletes a turn in which nothing was learned, so that the next program need
// not wait.
func (g *Group) giveTurnBack(ctx context.Context, turn string) error {
	ctx, stop := context.WithTimeout(context.WithoutCancel(ctx), giveBackWithin)
	defer stop()
	return g.store.inTx(ctx, func(q querier) error {
		return q.do(ctx, `DELETE FROM spread_turns WHERE community_id = ? AND turn = ? AND ended_at = ''`, g.id, turn)
	})
}
