package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"strconv"
	"time"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// BoxItem is a nearly finished syringe put aside for the bench, with a clean
// needle or cannula on.
type BoxItem struct {
	ID          int64
	Number      int // its place: B-1, B-2 …; the lowest free one when it was put there
	Member      Member
	Combination trade.Combination
	PutOn       string // day, 2006-01-02
	Lot         trade.Lot
	State       BoxState
	LeftAt      time.Time // zero while it waits
	RequestKey  string    // the same key twice puts one aside; "" for none
}

// BoxState is what became of an item.
type BoxState string

// The states of an item in the box.
const (
	BoxWaiting    BoxState = "waiting"
	BoxTested     BoxState = "tested"
	BoxThrownAway BoxState = "thrown away"
)

// mostWaiting bounds what waits in one community's boxes.
const mostWaiting = 200

// Label is what is written on the syringe: "B-3".
func (i BoxItem) Label() string { return boxLabel(i.Number) }

func boxLabel(number int) string { return "B-" + strconv.Itoa(number) }

// PutAside puts a syringe in the box, in the lowest free place, and returns it
// as stored; a place is free a day after what lay there was logged. The day is today if empty. An instrument or syringe
// that is not on
// the list yet is added to it.
//
// Errors: *FieldError; ErrNotFound for a member or product that is not there.
func (g *Group) PutAside(ctx context.Context, item BoxItem) (put BoxItem, err error) {
	defer wrap(&err, "put aside")
	err = g.store.inTx(ctx, func(q querier) error {
		put, err = g.putAside(ctx, q, item)
		return err
	})
	return put, err
}

func (g *Group) putAside(ctx context.Context, q querier, item BoxItem) (BoxItem, error) {
	if item.RequestKey != "" {
		first, err := g.readBox(ctx, q, `b.community_id = ? AND b.request_key = ?`, g.id, item.RequestKey)
		if err != nil || len(first) > 0 {
			return append(first, BoxItem{})[0], err
		}
	}
	var err error
	if item.PutOn, err = g.pastDay(ctx, q, "put aside on", item.PutOn); err != nil {
		return BoxItem{}, err
	}
	if item.Member, err = g.resolveMember(ctx, q, item.Member); err != nil {
		return BoxItem{}, err
	}
	if item.Combination, err = g.placeOrAdd(ctx, q, item.Combination); err != nil {
		return BoxItem{}, err
	}
	if item.Number, err = g.freePlace(ctx, q); err != nil {
		return BoxItem{}, err
	}
	if item.Lot = item.Lot.Filled(); item.Lot.Validate() != nil {
		return BoxItem{}, item.Lot.Validate()
	}
	item.State, item.LeftAt = BoxWaiting, time.Time{}
	k := keyOf(item.Combination)
	key := sql.NullString{String: item.RequestKey, Valid: item.RequestKey != ""}
	err = q.Row(ctx, `
		INSERT INTO box_items (community_id, number, member_id, product_id, instrument_id, syringe_id, put_on, state, request_key, lot, expires)
		VALUES (?, ?, ?, ?, ?, ?, ?, 'waiting', ?, ?, ?) RETURNING id`,
		g.id, item.Number, item.Member.ID, k.product, k.instrument, k.syringe, item.PutOn, key, item.Lot.Number,
		item.Lot.Expires,
	).Scan(&item.ID)
	return item, err
}

// pastDay returns a day that was typed, today if none was, and refuses one that
// has not come.
func (g *Group) pastDay(ctx context.Context, q querier, field, day string) (string, error) {
	today, err := g.today(ctx, q)
	if err != nil || day == "" {
		return today, err
	}
	if err := trade.CheckDay(field, day); err != nil {
		return "", err
	}
	if day > today {
		return "", trade.Refuse(field, "%s is in the future", day)
	}
	return day, nil
}

// placeRests is how long a place stays empty after what lay there was logged: its
// label is still on that syringe, and the message may come again (project's choice).
const placeRests = 24 * time.Hour

// freePlace returns the lowest number without an item, or one logged lately.
func (g *Group) freePlace(ctx context.Context, q querier) (int, error) {
	var waiting int
	if err := q.Row(ctx, `SELECT COUNT(*) FROM box_items WHERE community_id = ? AND left_at = ''`, g.id).Scan(&waiting); err != nil {
		return 0, err
	}
	if waiting >= mostWaiting {
		return 0, trade.Refuse("box", "%d syringes wait in it already; test some first", waiting)
	}
	taken, err := database.Collect(ctx, q, database.Column[int], `
		SELECT number FROM box_items
		WHERE community_id = ? AND (left_at = '' OR state = 'tested' AND left_at > ?)
		ORDER BY number`, g.id, formatTime(g.store.now().Add(-placeRests)))
	if err != nil {
		return 0, err
	}
	free := 1
	for _, number := range taken {
		if number > free {
			break
		}
		free = number + 1
	}
	return free, nil
}

// Box returns what waits in the box, by number: one member's, or with 0 all of it.
func (g *Group) Box(ctx context.Context, memberID int64) (items []BoxItem, err error) {
	defer wrap(&err, "box")
	err = g.store.snapshot(ctx, func(q querier) error {
		items, err = g.readBox(ctx, q, `
			b.community_id = ? AND b.left_at = '' AND (? = 0 OR b.member_id = ?)
			ORDER BY b.number`, g.id, memberID, memberID)
		return err
	})
	return items, err
}

// TakeOut takes an item out untested: it was thrown away.
//
// Errors: ErrNotFound for an item or member that is not there; *FieldError if it
// has left the box already.
func (g *Group) TakeOut(ctx context.Context, id int64, by Member) (item BoxItem, err error) {
	defer wrap(&err, "take out of the box")
	err = g.store.inTx(ctx, func(q querier) error {
		if by, err = g.resolveMember(ctx, q, by); err != nil {
			return err
		}
		items, err := g.readBox(ctx, q, `b.community_id = ? AND b.id = ?`, g.id, id)
		switch {
		case err != nil:
			return err
		case len(items) == 0:
			return ErrNotFound
		case items[0].State != BoxWaiting:
			return trade.Refuse(items[0].Label(), "it is %s already", items[0].State)
		}
		item, err = g.empty(ctx, q, items[0], BoxThrownAway, by)
		return err
	})
	return item, err
}

// empty writes down that an item has left its place.
func (g *Group) empty(ctx context.Context, q querier, item BoxItem, state BoxState, by Member) (BoxItem, error) {
	item.State, item.LeftAt = state, g.store.now().UTC().Truncate(timeStep)
	_, err := q.Exec(ctx, `
		UPDATE box_items SET state = ?, left_at = ?, left_by = ?
		WHERE community_id = ? AND id = ?`, state, formatTime(item.LeftAt), by.ID, g.id, item.ID)
	return item, err
}

// boxPlace returns what waits in a place. ErrNotFound if nothing does.
func (g *Group) boxPlace(ctx context.Context, q querier, number int) (BoxItem, error) {
	items, err := g.readBox(ctx, q, `b.community_id = ? AND b.left_at = '' AND b.number = ?`, g.id, number)
	if err == nil && len(items) == 0 {
		err = notFound(boxLabel(number))
	}
	return append(items, BoxItem{})[0], err
}

// readBox returns the items that a condition of this package picks; it must
// begin with the community.
func (g *Group) readBox(ctx context.Context, q querier, condition string, args ...any) ([]BoxItem, error) {
	return collectNamed(ctx, g, q, func(v *Vocabulary, rows *sql.Rows, i *BoxItem) (err error) {
		var k combinationKey
		var left string
		var key sql.NullString
		m := &i.Member
		if err := rows.Scan(&i.ID, &i.Number, &k.product, &k.instrument, &k.syringe, &m.ID, &m.Ref, &m.Name, &m.Role,
			&i.PutOn, &i.State, &left, &key, &i.Lot.Number, &i.Lot.Expires); err != nil {
			return err
		}
		i.RequestKey = key.String
		if left != "" {
			err = timeColumn{&i.LeftAt}.Scan(left)
		}
		c, errC := v.combination(k)
		i.Combination = c
		return errors.Join(err, errC)
	}, `
		SELECT b.id, b.number, b.product_id, b.instrument_id, b.syringe_id, m.id, m.ref, m.name, m.role,
		       b.put_on, b.state, b.left_at, b.request_key, b.lot, b.expires
		FROM box_items b
		JOIN members m ON m.community_id = b.community_id AND m.id = b.member_id
		WHERE `+condition, args...)
}
