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
	Number      int // its place in the box: B-1, B-2 …
	Member      Member
	Combination trade.Combination
	PutOn       string // day, 2006-01-02
	Lot         trade.Lot
	State       BoxState
	LeftAt      time.Time // zero while it waits
	RequestKey  string    // a second item with the same key is not stored; "" for none
}

// BoxState is what became of an item.
type BoxState string

// The states of an item in the box.
const (
	BoxWaiting    BoxState = "waiting"
	BoxTested     BoxState = "tested"
	BoxThrownAway BoxState = "thrown away"
)

// mostWaiting is how many items may wait in a community's box.
const mostWaiting = 200

// Label is what is written on the syringe: "B-3".
func (i BoxItem) Label() string { return boxLabel(i.Number) }

func boxLabel(number int) string { return "B-" + strconv.Itoa(number) }

// PutAside puts a syringe in the box, in the lowest free place, and returns it as stored. A
// place is free a day after what lay there was logged. An empty day is today. An instrument
// or syringe that is not on the list yet is added to it.
//
// Errors: *FieldError; ErrNotFound for a member or product that is not there.
func (g *Group) PutAside(ctx context.Context, item BoxItem) (put BoxItem, err error) {
	defer wrap(&err, "put aside")
	return resultOf(ctx, g.store.inTx, func(q querier) (BoxItem, error) {
		return g.putAside(ctx, q, item)
	})
}

func (g *Group) putAside(ctx context.Context, q querier, item BoxItem) (BoxItem, error) {
	if item.RequestKey != "" {
		first, err := only(g.readBox(ctx, q, `b.community_id = ? AND b.request_key = ?`, g.id, item.RequestKey))
		if !errors.Is(err, sql.ErrNoRows) {
			return first, err
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
		INSERT INTO box_items (community_id, number, member_id, product_id, instrument_id, syringe_id, put_on, state,
		                       request_key, lot, expires)
		VALUES (?, ?, ?, ?, ?, ?, ?, 'waiting', ?, ?, ?) RETURNING id`,
		g.id, item.Number, item.Member.ID, k.product, k.instrument, k.syringe, item.PutOn, key, item.Lot.Number,
		item.Lot.Expires,
	).Scan(&item.ID)
	return item, err
}

// pastDay returns the day typed, or today if that is empty. It refuses a day in the future.
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

// placeRests is how long a place stays empty after its item was logged: that syringe still
// has the label, and the platform may deliver the message again (project's choice).
const placeRests = 24 * time.Hour

// freePlace returns the lowest number that no item waits at and that none was logged from
// lately.
func (g *Group) freePlace(ctx context.Context, q querier) (int, error) {
	var waiting int
	err := q.Row(ctx, `SELECT COUNT(*) FROM box_items WHERE community_id = ? AND left_at = ''`, g.id).Scan(&waiting)
	if err != nil {
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
	return resultOf(ctx, g.store.snapshot, func(q querier) ([]BoxItem, error) {
		return g.readBox(ctx, q, `
			b.community_id = ? AND b.left_at = '' AND (? = 0 OR b.member_id = ?)
			ORDER BY b.number`, g.id, memberID, memberID)
	})
}

// TakeOut takes an item out of the box untested, as thrown away.
//
// Errors: ErrNotFound for an item or member that is not there; *FieldError if it
// has left the box already.
func (g *Group) TakeOut(ctx context.Context, id int64, by Member) (item BoxItem, err error) {
	defer wrap(&err, "take out of the box")
	err = g.store.inTx(ctx, func(q querier) error {
		if by, err = g.resolveMember(ctx, q, by); err != nil {
			return err
		}
		if item, err = g.waitingItem(ctx, q, id); err != nil {
			return err
		}
		item, err = g.empty(ctx, q, item, BoxThrownAway, by)
		return err
	})
	return item, err
}

// waitingItem returns an item that waits in the box. sql.ErrNoRows if there is none by that
// number; *FieldError if it has left.
func (g *Group) waitingItem(ctx context.Context, q querier, id int64) (BoxItem, error) {
	item, err := only(g.readBox(ctx, q, `b.community_id = ? AND b.id = ?`, g.id, id))
	if err == nil && item.State != BoxWaiting {
		err = trade.Refuse(item.Label(), "it is %s already", item.State)
	}
	return item, err
}

// empty records that an item has left its place.
func (g *Group) empty(ctx context.Context, q querier, item BoxItem, state BoxState, by Member) (BoxItem, error) {
	item.State, item.LeftAt = state, g.store.now().UTC().Truncate(timeStep)
	err := q.do(ctx, `
		UPDATE box_items SET state = ?, left_at = ?, left_by = ?
		WHERE community_id = ? AND id = ?`, state, formatTime(item.LeftAt), by.ID, g.id, item.ID)
	return item, err
}

// boxPlace returns what waits in a place. ErrNotFound if nothing does.
func (g *Group) boxPlace(ctx context.Context, q querier, number int) (BoxItem, error) {
	item, err := only(g.readBox(ctx, q, `b.community_id = ? AND b.left_at = '' AND b.number = ?`, g.id, number))
	if errors.Is(err, sql.ErrNoRows) {
		err = notFound(boxLabel(number))
	}
	return item, err
}

// readBox returns the items that a condition selects, which must begin with the community.
func (g *Group) readBox(ctx context.Context, q querier, condition string, args ...any) ([]BoxItem, error) {
	return collectNamed(ctx, g, q, func(v *Vocabulary, rows *sql.Rows, i *BoxItem) (err error) {
		var k combinationKey
		var key sql.NullString
		m := &i.Member
		if err := rows.Scan(&i.ID, &i.Number, &k.product, &k.instrument, &k.syringe, &m.ID, &m.Ref, &m.Name, &m.Role,
			&i.PutOn, &i.State, ifAny{&i.LeftAt}, &key, &i.Lot.Number, &i.Lot.Expires); err != nil {
			return err
		}
		i.RequestKey = key.String
		i.Combination, err = v.combination(k)
		return err
	}, `
		SELECT b.id, b.number, b.product_id, b.instrument_id, b.syringe_id, m.id, m.ref, m.name, m.role,
		       b.put_on, b.state, b.left_at, b.request_key, b.lot, b.expires
		FROM box_items b
		JOIN members m ON m.community_id = b.community_id AND m.id = b.member_id
		WHERE `+condition, args...)
}
