package knowledge

import (
	"context"
	"time"

	"holdbench/internal/trade"
)

// What can be done to the lists and the settings.
const (
	AddedAct       Action = "added"
	RenamedAct     Action = "renamed"
	NameAddedAct   Action = "name added"
	NameDroppedAct Action = "name dropped"
	ClassSetAct    Action = "class set"
	RetiredAct     Action = "retired"
	BroughtBackAct Action = "brought back"
	MergedAct      Action = "merged"           // another product was merged into it
	PutRightAct    Action = "put right"        // what is on record of a needle, cannula or syringe was corrected
	ToldApartAct   Action = "told apart"       // two products with names that are alike
	SettingsAct    Action = "settings changed" // of the group
	ForgottenAct   Action = "forgotten"        // a member who left was erased
	UndoneAct      Action = "change undone"
)

// listChange is one line of the history of the lists and the settings.
type listChange struct {
	product, other      int64 // 0 for what it is not about
	instrument, syringe int64
	action              Action
	before, after       string
	by                  Member
	reason              string
	then                func(id int64) error // the part of the change that needs this line's row number; nil for none
}

// changeLists makes a change in one transaction, and stores a line of the history with what
// undoing it takes. c is what is known of the change beforehand; do makes the change and
// fills in the rest. If c has no action then, nothing has changed and nothing is stored.
func (g *Group) changeLists(ctx context.Context, by Member, c listChange,
	do func(q querier, c *listChange) error) (err error) {
	if c.reason, err = checkReason(c.reason); err != nil {
		return err
	}
	return g.store.inTx(ctx, func(q querier) error {
		line := c // this may run more than once
		if line.by, err = g.resolveMember(ctx, q, by); err != nil {
			return err
		}
		for _, id := range []*int64{&line.product, &line.other} {
			if *id == 0 {
				continue
			}
			p, err := g.productByID(ctx, q, *id)
			if err != nil {
				return err
			}
			*id = p.ID
		}
		before, err := g.readTracked(ctx, q, line)
		if err != nil {
			return err
		}
		if err := do(q, &line); err != nil || line.action == "" {
			return err
		}
		id, err := g.noteListChange(ctx, q, line)
		if err != nil {
			return err
		}
		if line.then != nil {
			if err := line.then(id); err != nil {
				return err
			}
		}
		return g.keepUndo(ctx, q, id, line, before)
	})
}

// noteListChange stores a line of the history and returns its row number. It drops what
// undoing takes of the lines that are older than UndoFor.
func (g *Group) noteListChange(ctx context.Context, q querier, c listChange) (id int64, err error) {
	now := g.store.now()
	if err := q.do(ctx, `
		UPDATE list_changes SET undo = ''
		WHERE community_id = ? AND undo <> '' AND changed_at < ?`, g.id, formatTime(now.Add(-UndoFor))); err != nil {
		return 0, err
	}
	err = q.Row(ctx, `
		INSERT INTO list_changes (community_id, product_id, other_id, instrument_id, syringe_id, action, before, after,
		                          member_id, changed_at, reason)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) RETURNING id`,
		g.id, nullID(c.product), nullID(c.other), nullID(c.instrument), nullID(c.syringe), c.action, c.before, c.after,
		c.by.ID, formatTime(now), c.reason,
	).Scan(&id)
	return id, err
}

// checkReason tidies and checks a reason, which may be empty.
func checkReason(reason string) (string, error) {
	reason = trade.Tidy(reason)
	return reason, trade.CheckFreeText("reason", reason)
}

// UndoFor is how long a change of the lists or the settings can be undone: long enough to see
// what it did, and too short for much to be logged on top of it (project's choice).
const UndoFor = time.Hour
