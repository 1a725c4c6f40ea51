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
// touch. They are kept as they were before the change and after it.
type trackedRows struct {
	name    string // under which they are kept; "" the table's
	table   string
	columns string // what undoing puts back; the first tell a row from others
	keys    int    // so many of them, where rows are deleted and inserted; 0 where each keeps its row, known by its id
	where   string // SQL: the rows of two ids
	rule    undoRule
	refusal string // where the rule is broken; %s is what the change was about
}

// An undoRule says what becomes of rows that are not as the change left them.
type undoRule int

const (
	putBackAnyway undoRule = iota // they are put back all the same
	laterStays                    // what came or changed later stays
	allAsLeft                     // the change cannot be undone
	touchedAsLeft                 // it cannot, if it changed these rows; else they are left alone
)

const (
	ofProducts   = `product_id IN (?, ?)`
	changedSince = "%s has been changed since: undo that first"
	heldSince    = "what is stocked, taken on or put aside of %s has changed since"
)

var apartRows = trackedRows{table: "products_apart", columns: "product_id, other_id", keys: 2,
	where: `(? IN (product_id, other_id) OR ? IN (product_id, other_id))`, rule: laterStays}

var gelRows = [...]trackedRows{
	{table: "products", columns: "id, gel_class, retired_on", where: `id IN (?, ?)`, rule: allAsLeft, refusal: changedSince},
	{table: "product_names", columns: "name_key, product_id, name, position", keys: 1, where: ofProducts,
		rule: allAsLeft, refusal: changedSince},
	apartRows,
}

// mergeRows are those that a merge moves, beside the names. The tests that came over are
// in merged_tests.
var mergeRows = [...]trackedRows{
	{name: "merged", table: "products", columns: "id, first_stocked, merged_into",
		where: `(? IN (id, merged_into) OR ? IN (id, merged_into))`},
	{table: "stock", columns: "id, member_id, product_id, instrument_id, syringe_id, stocked_on", keys: 1,
		where: ofProducts, rule: allAsLeft, refusal: heldSince},
	{table: "claims", columns: "id, product_id, instrument_id, syringe_id, member_id, taken_on, due_on, state, closed_on, " +
		"test_id", keys: 1, where: ofProducts, rule: allAsLeft, refusal: heldSince},
	{table: "box_items", columns: "id, product_id, state", where: ofProducts, rule: allAsLeft, refusal: heldSince},
	{table: "asked", columns: "member_id, product_id, instrument_id, syringe_id, asked_on, asked_at", keys: 4,
		where: ofProducts, rule: laterStays},
	{table: "verdicts", columns: "product_id, instrument_id, syringe_id, state, tests, members, near, ceiling_s, " +
		"target_share, least_tests, least_members", keys: 3, where: ofProducts},
	{table: "classes", columns: "id, product_id", where: ofProducts},
	{table: "setup_looks", columns: "id, product_id", where: ofProducts},
	{table: "verdict_changes", columns: "id, product_id", where: ofProducts},
	{table: "list_changes", columns: "id, product_id", where: ofProducts},
}

var instrumentRows = trackedRows{table: "instruments", where: `id IN (?, ?)`, rule: allAsLeft, refusal: changedSince,
	columns: "id, name_key, kind, gauge, length_mm, wall, bore_mm, hub_mm, retired_on"}

var syringeRows = trackedRows{table: "syringes", where: `id IN (?, ?)`, rule: allAsLeft, refusal: changedSince,
	columns: "id, name_key, name, fixed_needle, volume_ml, gas_ml, retired_on"}

// settingRows are the group's own row, a setting each.
func settingRows() (rows []trackedRows) {
	columns, _ := new(Settings).columns()
	for _, column := range columns {
		rows = append(rows, trackedRows{name: column, table: "communities", columns: "id, " + column,
			where: `id IN (?, ?)`, rule: touchedAsLeft, refusal: changedSince})
	}
	return rows
}

// tracked returns the rows that a change may touch, and the two ids that they are of.
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

// keptRows is what is stored of tracked rows with a change: each a JSON array.
type keptRows struct{ Before, After []string }

// group is the column that says of which community a row is.
func (t trackedRows) group() string {
	if t.table == "communities" {
		return "id"
	}
	return "community_id"
}

// readTracked reads the rows that a change may touch, by their names, each table's in one
// order.
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
	_, err = q.Exec(ctx, `UPDATE list_changes SET undo = ? WHERE community_id = ? AND id = ?`, string(text), g.id, id)
	return err
}

// putRowsBack puts back the rows that a change touched. about is what it was about.
//
// Errors: *FieldError where rows that stand in the way have changed since.
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

// without returns the rows that are not among others.
func without(rows, others []string) (left []string) {
	for _, row := range rows {
		if _, there := slices.BinarySearch(others, row); !there {
			left = append(left, row)
		}
	}
	return left
}

// replaceRows makes rows that are there those that were before.
func (g *Group) replaceRows(ctx context.Context, q querier, t trackedRows, there, before []string) error {
	each := func(rows []string, statement string, args func(cells []any) []any) error {
		for _, row := range rows {
			cells, err := cellsOf(row)
			if err == nil {
				_, err = q.Exec(ctx, statement, args(cells)...)
			}
			if err != nil {
				return err
			}
		}
		return nil
	}
	goes, comes, columns := without(there, before), without(before, there), strings.Split(t.columns, ", ")
	if t.keys == 0 {
		return each(comes, `UPDATE `+t.table+` SET `+strings.Join(columns, ` = ?, `)+` = ? WHERE `+t.group()+` = ? AND id = ?`,
			func(cells []any) []any { return append(cells[:len(cells):len(cells)], g.id, cells[0]) })
	}
	err := each(goes, `DELETE FROM `+t.table+` WHERE `+strings.Join(columns[:t.keys], ` = ? AND `)+` = ? AND community_id = ?`,
		func(cells []any) []any { return append(cells[:t.keys], g.id) })
	if err != nil {
		return err
	}
	insert := `INSERT INTO ` + t.table + ` (` + t.columns + `, community_id) VALUES (` + strings.Repeat(`?, `, len(columns)) + `?)`
	if t.rule == laterStays {
		insert += ` ON CONFLICT DO NOTHING`
	}
	return each(comes, insert, func(cells []any) []any { return append(cells, g.id) })
}

// cellsOf reads a row that was kept as JSON: whole numbers as int64, others as float64.
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
