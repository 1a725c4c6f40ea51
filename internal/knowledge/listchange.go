package knowledge

import (
	"context"
	"encoding/json"
	"time"

	"holdbench/internal/trade"
)

// What is done to the lists and the settings, for the history.
const (
	AddedAct       Action = "added"
	RenamedAct     Action = "renamed"
	NameAddedAct   Action = "name added"
	NameDroppedAct Action = "name dropped"
	ClassSetAct    Action = "class set"
	RetiredAct     Action = "retired"
	BroughtBackAct Action = "brought back"
	MergedAct      Action = "merged"           // another product went into it
	PutRightAct    Action = "put right"        // what is on record of a needle, cannula or syringe
	ToldApartAct   Action = "told apart"       // two products whose names are alike
	SettingsAct    Action = "settings changed" // of the group
	ForgottenAct   Action = "forgotten"        // somebody who left
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
	undo                undoing
	apart               []int64 // products that the one it is about is told apart from with it
}

// noteListChange writes a line of the history and returns its row. What older lines
// would take to be undone goes: their hour is over.
func (g *Group) noteListChange(ctx context.Context, q querier, c listChange) (id int64, err error) {
	now := g.store.now()
	undo := ""
	if c.undo != (undoing{}) {
		text, err := json.Marshal(c.undo)
		if err != nil {
			return 0, err
		}
		undo = string(text)
	}
	if _, err := q.Exec(ctx, `
		UPDATE list_changes SET undo = ''
		WHERE community_id = ? AND undo <> '' AND changed_at < ?`, g.id, formatTime(now.Add(-UndoFor))); err != nil {
		return 0, err
	}
	err = q.Row(ctx, `
		INSERT INTO list_changes (community_id, product_id, other_id, instrument_id, syringe_id, action, before, after,
		                          member_id, changed_at, reason, undo)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) RETURNING id`,
		g.id, nullID(c.product), nullID(c.other), nullID(c.instrument), nullID(c.syringe), c.action, c.before, c.after,
		c.by.ID, formatTime(now), c.reason, undo,
	).Scan(&id)
	return id, err
}

// checkReason tidies a reason that may be left out.
func checkReason(reason string) (string, error) {
	reason = trade.Tidy(reason)
	return reason, trade.CheckFreeText("reason", reason)
}

// UndoFor is how long a change of the lists or the settings can be undone: long enough
// to see what it did, too short for the log to have moved on (project's choice).
const UndoFor = time.Hour
