package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// Watch is one trial of a syringe from the box that is timed by presses in the chat.
type Watch struct {
	ID        int64 // the community's own number
	Member    Member
	Item      BoxItem
	SessionAt time.Time // when its session began; a member's watches with the same time are one session
	Bench     string    // liquid, temperature and pull of the session, as in a log line
	BeganAt   time.Time // when the plunger was at its mark, by the platform's clock; zero until then
	Fate      WatchFate
	Test      int64 // the number of the test it became, 0 for none
}

// WatchFate is what became of a watch.
type WatchFate string

// The fates. Only WatchLogged stores a test.
const (
	WatchOpen    WatchFate = ""
	WatchLogged  WatchFate = "logged"
	WatchAnew    WatchFate = "begun anew"
	WatchSkipped WatchFate = "skipped"
	WatchBlocked WatchFate = "blocked"
	WatchOver    WatchFate = "over" // the session ended
)

// OpenWatch returns the member's open watch. ErrNotFound if there is none.
func (g *Group) OpenWatch(ctx context.Context, by Member) (w Watch, err error) {
	defer wrap(&err, "open watch")
	return resultOf(ctx, g.store.snapshot, func(q querier) (Watch, error) {
		return g.openWatch(ctx, q, by.ID)
	})
}

// Watch returns one of the member's watches. ErrNotFound if it is not there or is somebody
// else's.
func (g *Group) Watch(ctx context.Context, id int64, by Member) (w Watch, err error) {
	defer wrap(&err, "watch %d", id)
	return resultOf(ctx, g.store.snapshot, func(q querier) (Watch, error) {
		return g.watch(ctx, q, id, by)
	})
}

// Session returns all watches of a session, in their order.
func (g *Group) Session(ctx context.Context, of Watch) (all []Watch, err error) {
	defer wrap(&err, "session")
	return resultOf(ctx, g.store.snapshot, func(q querier) ([]Watch, error) {
		return g.session(ctx, q, of)
	})
}

// WatchNext opens a watch of an item in the box. w has the item and the session: member,
// bench, and when it began, now if that is zero. If a watch of that session is open already,
// it is returned. An open watch of an earlier session is ended. Other items of the session
// leave the box once a test of them was logged.
//
// Errors: ErrNotFound for a member or item that is not there; *FieldError if the item
// has left the box.
func (g *Group) WatchNext(ctx context.Context, w Watch) (open Watch, err error) {
	defer wrap(&err, "next watch")
	return resultOf(ctx, g.store.inTx, func(q querier) (Watch, error) {
		return g.watchNext(ctx, q, w)
	})
}

func (g *Group) watchNext(ctx context.Context, q querier, w Watch) (Watch, error) {
	by, err := g.resolveMember(ctx, q, w.Member)
	if err != nil {
		return Watch{}, err
	}
	switch open, err := g.openWatch(ctx, q, by.ID); {
	case err == nil && open.SessionAt.Equal(w.SessionAt):
		return open, nil
	case err == nil:
		if err := g.settleWatch(ctx, q, open, WatchOver, 0); err != nil {
			return Watch{}, err
		}
	case !errors.Is(err, sql.ErrNoRows):
		return Watch{}, err
	}
	if _, err := g.waitingItem(ctx, q, w.Item.ID); err != nil {
		return Watch{}, err
	}
	if w.Member = by; w.SessionAt.IsZero() {
		w.SessionAt = g.store.now().UTC().Truncate(timeStep)
	}
	if err := g.emptyTested(ctx, q, w, w.Item.ID); err != nil {
		return Watch{}, err
	}
	var id int64
	err = q.Row(ctx, `
		INSERT INTO watches (number, community_id, member_id, item_id, session_at, bench)
		VALUES ((SELECT COALESCE(MAX(number), 0) + 1 FROM watches WHERE community_id = ?), ?, ?, ?, ?, ?) RETURNING number`,
		g.id, g.id, by.ID, w.Item.ID, formatTime(w.SessionAt), w.Bench).Scan(&id)
	if err != nil {
		return Watch{}, err
	}
	return g.watch(ctx, q, id, by)
}

// PlungerBack records when the plunger was at its mark. Of several presses the earliest
// counts: a button may be pressed twice when its answer was lost. A watch that is no longer
// open is returned unchanged.
//
// Errors: as Watch.
func (g *Group) PlungerBack(ctx context.Context, id int64, by Member, at time.Time) (w Watch, err error) {
	defer wrap(&err, "plunger back")
	err = g.store.inTx(ctx, func(q querier) error {
		if w, err = g.watch(ctx, q, id, by); err != nil || w.Fate != WatchOpen || !w.BeganAt.IsZero() &&
			!at.Before(w.BeganAt) {
			return err
		}
		w.BeganAt = at.UTC().Truncate(timeStep)
		return q.do(ctx, `
			UPDATE watches SET began_at = ? WHERE community_id = ? AND number = ?`, formatTime(w.BeganAt), g.id, id)
	})
	return w, err
}

// LogWatch stores the result of a watch, as LogTest does, and ends the watch. Of several
// presses the first to arrive counts: a watch becomes one test, which is returned.
//
// Errors: as Watch; *FieldError for what cannot have happened, and for a watch that has
// ended without a test.
func (g *Group) LogWatch(ctx context.Context, id int64, by Member, t BenchTest) (logged BenchTest, err error) {
	defer wrap(&err, "log watch")
	err = g.store.inTx(ctx, func(q querier) error {
		w, err := g.watch(ctx, q, id, by)
		switch {
		case err != nil:
			return err
		case w.Fate == WatchLogged:
			logged, err = g.test(ctx, q, w.Test)
			return err
		case w.Fate != WatchOpen:
			return trade.Refuse("watch", "it is over; nothing was stored")
		}
		t.Combination, t.Tester, t.Lot, t.RequestKey = w.Item.Combination, w.Member, w.Item.Lot,
			fmt.Sprint("watch ", id)
		if logged, err = g.logTest(ctx, q, t); err != nil {
			return err
		}
		return g.settleWatch(ctx, q, w, WatchLogged, logged.ID)
	})
	if err != nil {
		return BenchTest{}, err
	}
	return g.estimated(ctx, logged), nil
}

// EndWatch ends a watch without a test. A blocked syringe leaves the box. A watch that has
// ended already is returned unchanged.
//
// Errors: as Watch.
func (g *Group) EndWatch(ctx context.Context, id int64, by Member, fate WatchFate) (w Watch, err error) {
	defer wrap(&err, "end watch")
	err = g.store.inTx(ctx, func(q querier) error {
		if w, err = g.watch(ctx, q, id, by); err != nil || w.Fate != WatchOpen {
			return err
		}
		if err = g.settleWatch(ctx, q, w, fate, 0); err != nil {
			return err
		}
		switch {
		case fate == WatchOver:
			err = g.emptyTested(ctx, q, w, 0)
		case fate == WatchBlocked && w.Item.State == BoxWaiting:
			_, err = g.empty(ctx, q, w.Item, BoxThrownAway, w.Member)
		}
		w.Fate = fate
		return err
	})
	return w, err
}

// EndSession ends a session without an open watch: items of which a test was logged leave
// the box.
func (g *Group) EndSession(ctx context.Context, of Watch) (err error) {
	defer wrap(&err, "end session")
	return g.store.inTx(ctx, func(q querier) error { return g.emptyTested(ctx, q, of, 0) })
}

// emptyTested takes out of the box the items of which a test was logged in the session of w,
// except one item.
func (g *Group) emptyTested(ctx context.Context, q querier, w Watch, but int64) error {
	all, err := g.session(ctx, q, w)
	if err != nil {
		return err
	}
	left := map[int64]bool{but: true}
	for _, one := range all {
		if one.Fate != WatchLogged || left[one.Item.ID] || one.Item.State != BoxWaiting {
			continue
		}
		left[one.Item.ID] = true
		if _, err := g.empty(ctx, q, one.Item, BoxTested, one.Member); err != nil {
			return err
		}
	}
	return nil
}

func (g *Group) settleWatch(ctx context.Context, q querier, w Watch, fate WatchFate, test int64) error {
	return q.do(ctx, `
		UPDATE watches SET fate = ?, test_id = `+testRow+`
		WHERE community_id = ? AND number = ?`, fate, g.id, test, g.id, w.ID)
}

func (g *Group) openWatch(ctx context.Context, q querier, member int64) (Watch, error) {
	return only(g.readWatches(ctx, q, `w.community_id = ? AND w.member_id = ? AND w.fate = ''`, g.id, member))
}

func (g *Group) watch(ctx context.Context, q querier, id int64, by Member) (Watch, error) {
	by, err := g.resolveMember(ctx, q, by)
	if err != nil {
		return Watch{}, err
	}
	return only(g.readWatches(ctx, q, `w.community_id = ? AND w.number = ? AND w.member_id = ?`, g.id, id, by.ID))
}

func (g *Group) session(ctx context.Context, q querier, w Watch) ([]Watch, error) {
	return g.readWatches(ctx, q, `w.community_id = ? AND w.member_id = ? AND w.session_at = ? ORDER BY w.number`,
		g.id, w.Member.ID, formatTime(w.SessionAt))
}

// readWatches returns the watches that a condition selects, which must begin with the community.
func (g *Group) readWatches(ctx context.Context, q querier, condition string, args ...any) ([]Watch, error) {
	type row struct {
		Watch
		item int64
	}
	rows, err := database.Collect(ctx, q, func(rows *sql.Rows, w *row) error {
		m := &w.Member
		return rows.Scan(&w.ID, &w.item, timeColumn{&w.SessionAt}, &w.Bench, ifAny{&w.BeganAt}, &w.Fate, &w.Test, &m.ID,
			&m.Ref, &m.Name, &m.Role)
	}, `
		SELECT w.number, w.item_id, w.session_at, w.bench, w.began_at, w.fate, COALESCE(t.number, 0),
		       m.id, m.ref, m.name, m.role
		FROM watches w
		JOIN members m ON m.community_id = w.community_id AND m.id = w.member_id
		LEFT JOIN tests t ON t.community_id = w.community_id AND t.id = w.test_id
		WHERE `+condition, args...)
	all := make([]Watch, len(rows))
	items := map[int64]BoxItem{}
	for i, r := range rows {
		if items[r.item].ID == 0 {
			if items[r.item], err = only(g.readBox(ctx, q, `b.community_id = ? AND b.id = ?`, g.id, r.item)); err != nil {
				return nil, err
			}
		}
		all[i] = r.Watch
		all[i].Item = items[r.item]
	}
	return all, err
}
