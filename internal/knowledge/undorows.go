package knowledge

import (
	"cmp"
	"context"
	"database/sql"
	"encoding/json"
	"slices"
	"strings"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// trackedRows are the rows of one table that a change of the lists or the settings may
// touch. What they were before the change and after it is stored with the change.
type trackedRows struct {
	name    string // in what is stored; "" for the table's
	table   string
	columns string // what undoing puts back
	keys    int    // how many of the columns, from the first, tell a row from others; 0 if rows are updated by their id
	where   string // SQL: the rows of two ids
	rule    undoRule
	refusal string // what is said if the rule forbids undoing; %s is what the change was about
}

// An undoRule says what happens if rows are no longer as the change left them.
type undoRule int

const (
	putBackAnyway undoRule = iota // the rows are put back all the same
	laterStays                    // rows that came or changed later stay as they are
	allAsLeft                     // the change cannot be undone
	touchedAsLeft                 // the change cannot be undone if it changed these rows, and else leaves them alone
)

const (
	ofProducts   = `product_id IN (?, ?)`
	changedSince = "%s has been changed since: undo that first"
	heldSince    = "what is stocked, taken on or put aside of %s has changed since"
)

// apartRows are the pairs of products that are on record as two.
var apartRows = trackedRows{
	table: "products_apart", columns: "product_id, other_id", keys: 2, rule: laterStays,
	where: `(? IN (product_id, other_id) OR ? IN (product_id, other_id))`,
}

// gelRows are those of a product on the list.
var gelRows = [...]trackedRows{
	{
		table: "products", columns: "id, gel_class, retired_on",
		where: `id IN (?, ?)`, rule: allAsLeft, refusal: changedSince,
	},
	{
		table: "product_names", columns: "name_key, product_id, name, position", keys: 1,
		where: ofProducts, rule: allAsLeft, refusal: changedSince,
	},
	apartRows,
}

// mergeRows are those that a merge moves, besides gelRows and the tests, which are in
// merged_tests.
var mergeRows = [...]trackedRows{
	{
		name: "merged", table: "products", columns: "id, first_stocked, merged_into",
		where: `(? IN (id, merged_into) OR ? IN (id, merged_into))`,
	},
	{
		table: "stock", columns: "id, member_id, product_id, instrument_id, syringe_id, stocked_on", keys: 1,
		where: ofProducts, rule: allAsLeft, refusal: heldSince,
	},
	{
		table: "claims", keys: 1, where: ofProducts, rule: allAsLeft, refusal: heldSince,
		columns: "id, product_id, instrument_id, syringe_id, member_id, taken_on, due_on, state, closed_on, test_id",
	},
	{table: "box_items", columns: "id, product_id, state", where: ofProducts, rule: allAsLeft, refusal: heldSince},
	{
		table: "asked", columns: "member_id, product_id, instrument_id, syringe_id, asked_on, asked_at", keys: 4,
		where: ofProducts, rule: laterStays,
	},
	{
		table: "verdicts", keys: 3, where: ofProducts,
		columns: "product_id, instrument_id, syringe_id, state, tests, members, near, ceiling_s, target_share, " +
			"least_tests, least_members",
	},
	{table: "classes", columns: "id, product_id", where: ofProducts},
	{table: "setup_looks", columns: "id, product_id", where: ofProducts},
	{table: "verdict_changes", columns: "id, product_id", where: ofProducts},
	{table: "list_changes", columns: "id, product_id", where: ofProducts},
}

// instrumentRows and syringeRows are the row of a needle or cannula, and of a syringe.
var (
	instrumentRows = trackedRows{
		table: "instruments", where: `id IN (?, ?)`, rule: allAsLeft, refusal: changedSince,
		columns: "id, name_key, kind, gauge, length_mm, wall, bore_mm, hub_mm, retired_on",
	}
	syringeRows = trackedRows{
		table: "syringes", where: `id IN (?, ?)`, rule: allAsLeft, refusal: changedSince,
		columns: "id, name_key, name, fixed_needle, volume_ml, gas_ml, retired_on",
	}
)

// settingRows are the group's own row, one entry a setting: another setting may have been
// changed since.
func settingRows() (rows []trackedRows) {
	columns, _ := new(Settings).columns()
	for _, column := range columns {
		rows = append(rows, trackedRows{name: column, table: "communities", columns: "id, " + column,
			where: `id IN (?, ?)`, rule: touchedAsLeft, refusal: changedSince})
	}
	return rows
}

// tracked returns the rows that a change may touch, and the two ids for their where.
func (g *Group) tracked(c listChange) (rows []trackedRows, ids [2]int64) {
	switch {
	case c.action == SettingsAct:
		return settingRows(), [2]int64{g.id, g.id}
	case c.action == ToldApartAct:
		return []trackedRows{apartRows}, [2]int64{c.product, c.other}
	case c.action == MergedAct:
		return slices.Concat(gelRows[:], mergeRows[:]), [2]int64{c.product, c.other}
	case c.instrument != 0:
		return []trackedRows{instrumentRows}, [2]int64{c.instrument, c.instrument}
	case c.syringe != 0:
		return []trackedRows{syringeRows}, [2]int64{c.syringe, c.syringe}
	}
	return gelRows[:], [2]int64{c.product, c.product}
}

// keptRows is what is stored of tracked rows; each row is a JSON array.
type keptRows struct{ Before, After []string }

// group is the column that says of which community a row is.
func (t trackedRows) group() string {
	if t.table == "communities" {
		return "id"
	}
	return "community_id"
}

// readTracked reads the rows that a change may touch, by name and sorted.
func (g *Group) readTracked(ctx context.Context, q querier, c listChange) (map[string][]string, error) {
	all := map[string][]string{}
	tracked, ids := g.tracked(c)
	for _, t := range tracked {
		rows, err := database.Collect(ctx, q, func(rows *sql.Rows, row *string) error {
			cells, err := database.Cells(rows, strings.Count(t.columns, ",")+1)
			if err != nil {
				return err
			}
			text, err := json.Marshal(cells)
			*row = string(text)
			return err
		}, `SELECT `+t.columns+` FROM `+t.table+` WHERE `+t.group()+` = ? AND `+t.where, g.id, ids[0], ids[1])
		if err != nil {
			return nil, err
		}
		slices.Sort(rows)
		all[cmp.Or(t.name, t.table)] = rows
	}
	return all, nil
}

// keepUndo stores with a change what undoing it takes.
func (g *Group) keepUndo(ctx context.Context, q querier, id int64, c listChange, before map[string][]string) error {
	after, err := g.readTracked(ctx, q, c)
	if err != nil {
		return err
	}
	rows := map[string]keptRows{}
	for name := range after {
		rows[name] = keptRows{before[name], after[name]}
	}
	text, err := json.Marshal(map[string]any{"Rows": rows})
	if err != nil {
		return err
	}
	return q.do(ctx, `UPDATE list_changes SET undo = ? WHERE community_id = ? AND id = ?`, string(text), g.id, id)
}

// putRowsBack puts back the rows that a change touched. about is what it was about.
//
// Errors: *FieldError if rows have changed since and their rule forbids undoing then.
func (g *Group) putRowsBack(ctx context.Context, q querier, c listChange, undo, about string) error {
	var kept struct{ Rows map[string]keptRows }
	if err := json.Unmarshal([]byte(undo), &kept); err != nil {
		return err
	}
	if kept.Rows == nil {
		return trade.Refuse("undo", "that was changed before the program was updated, and can no longer be undone")
	}
	now, err := g.readTracked(ctx, q, c)
	if err != nil {
		return err
	}
	tracked, _ := g.tracked(c)
	for _, t := range tracked {
		name := cmp.Or(t.name, t.table)
		r, there := kept.Rows[name], now[name]
		if t.rule == touchedAsLeft && slices.Equal(r.Before, r.After) {
			continue
		}
		if t.refusal != "" && !slices.Equal(there, r.After) {
			return trade.Refuse("undo", t.refusal, about)
		}
		if t.rule == laterStays {
			there = without(r.After, without(r.After, there))
		}
		if err := g.replaceRows(ctx, q, t, there, r.Before); err != nil {
			return err
		}
	}
	return nil
}

// without returns the rows that are not among others, which are sorted.
func without(rows, others []string) (left []string) {
	for _, row := range rows {
		if _, there := slices.BinarySearch(others, row); !there {
			left = append(left, row)
		}
	}
	return left
}

// replaceRows makes the rows that are there those that were there before.
func (g *Group) replaceRows(ctx context.Context, q querier, t trackedRows, there, before []string) error {
	each := func(rows []string, statement string, args func(cells []any) []any) error {
		for _, row := range rows {
			cells, err := cellsOf(row)
			if err == nil {
				err = q.do(ctx, statement, args(cells)...)
			}
			if err != nil {
				return err
			}
		}
		return nil
	}
	goes, comes, columns := without(there, before), without(before, there), strings.Split(t.columns, ", ")
	if t.keys == 0 {
		update := `UPDATE ` + t.table + ` SET ` + strings.Join(columns[1:], ` = ?, `) + ` = ?
			WHERE ` + t.group() + ` = ? AND id = ?`
		return each(comes, update, func(cells []any) []any { return append(cells[1:], g.id, cells[0]) })
	}
	remove := `DELETE FROM ` + t.table + ` WHERE community_id = ? AND ` +
		strings.Join(columns[:t.keys], ` = ? AND `) + ` = ?`
	err := each(goes, remove, func(cells []any) []any { return append([]any{g.id}, cells[:t.keys]...) })
	if err != nil {
		return err
	}
	insert := `INSERT INTO ` + t.table + ` (community_id, ` + t.columns + `)
		VALUES (?` + strings.Repeat(`, ?`, len(columns)) + `)`
	if t.rule == laterStays {
		insert += ` ON CONFLICT DO NOTHING`
	}
	return each(comes, insert, func(cells []any) []any { return append([]any{g.id}, cells...) })
}

// cellsOf reads a stored row: whole numbers as int64, other numbers as float64.
func cellsOf(row string) (cells []any, err error) {
	d := json.NewDecoder(strings.NewReader(row))
	d.UseNumber()
	if err := d.Decode(&cells); err != nil {
		return nil, err
	}
	for i, cell := range cells {
		number, is := cell.(json.Number)
		if !is {
			continue
		}
		if whole, err := number.Int64(); err == nil {
			cells[i] = whole
		} else if cells[i], err = number.Float64(); err != nil {
			return nil, err
		}
	}
	return cells, nil
}
