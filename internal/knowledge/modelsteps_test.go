package knowledge

import (
	"fmt"
	"maps"
	"slices"

	"pgregory.net/rapid"

	"holdbench/internal/trade"
)

// The steps that a walk takes: each does one thing in the store and in the model.

func (w *walk) hold() {
	m := w.member()
	var items []StockItem
	var keys []combinationKey
	for range rapid.IntRange(1, 3).Draw(w.t, "items") {
		c, k := w.combination()
		if rapid.IntRange(0, 4).Draw(w.t, "instrument not said") == 0 {
			c.Instrument, k.instrument = trade.Instrument{}, 0
		}
		items, keys = append(items, StockItem{Combination: c}), append(keys, k)
	}
	bad := rapid.IntRange(0, 5).Draw(w.t, "one is not there") == 0
	if bad {
		items = append(items, StockItem{Combination: trade.Combination{Product: trade.Product{Name: "nobody's"}}})
	}
	_, err := w.g.Hold(w.ctx, m, items)
	w.want(bad, err, ErrNotFound)
	for _, k := range keys {
		if _, held := w.m.stock[modelStock{m.Ref, k}]; !held && !bad {
			w.m.stock[modelStock{m.Ref, k}] = w.m.today
		}
	}
}

func (w *walk) release() {
	m := w.member()
	_, now := w.product()
	instrument := draw(w, "instrument", append(w.instruments, 0)...)
	held, err := w.g.Stock(w.ctx, StockFilter{ProductID: now})
	w.want(false, err, nil)
	var gone []int64
	for _, item := range held {
		if item.Member.Ref == m.Ref && (instrument == 0 || item.Combination.Instrument.ID == instrument) {
			gone = append(gone, item.ID)
		}
	}
	w.want(false, w.g.RemoveStock(w.ctx, gone...), nil)
	n := len(gone)
	for stock := range maps.Clone(w.m.stock) {
		if stock.member == m.Ref && stock.k.product == now && (instrument == 0 || stock.k.instrument == instrument) {
			delete(w.m.stock, stock)
			n--
		}
	}
	if n != 0 {
		w.t.Fatalf("%d lines too many released", n)
	}
}

func (w *walk) putAside() {
	m := w.member()
	c, k := w.combination()
	item, err := w.g.PutAside(w.ctx, BoxItem{Member: m, Combination: c})
	w.want(false, err, nil)
	if item.Number != w.m.freePlace() {
		w.t.Fatalf("put in place %d, %d is free", item.Number, w.m.freePlace())
	}
	w.m.box[item.Number] = &modelItem{id: item.ID, member: m.Ref, k: k}
}

func (w *walk) takeOut() {
	place := rapid.IntRange(1, 4).Draw(w.t, "place")
	item := w.m.box[place]
	if item == nil {
		_, err := w.g.TakeOut(w.ctx, 99999, w.member())
		w.want(true, err, ErrNotFound)
		return
	}
	_, err := w.g.TakeOut(w.ctx, item.id, w.member())
	w.want(false, err, nil)
	delete(w.m.box, place)
}

func (w *walk) takeOn() {
	m := w.member()
	c, k := w.combination()
	due := dayAfter(w.m.today, rapid.IntRange(-1, 12).Draw(w.t, "days"))
	claim, err := w.g.TakeOn(w.ctx, m, c, due)
	if due < w.m.today {
		var field *trade.FieldError
		w.want(true, err, &field)
		return
	}
	stands := w.m.openClaim(k)
	if stands != nil && stands.due < w.m.today {
		w.m.lapse(&k)
		stands = nil
	}
	w.want(stands != nil && stands.member != m.Ref, err, ErrTaken)
	if err != nil {
		return
	}
	if stands != nil {
		stands.due = due
		return
	}
	w.m.claims[claim.ID] = &modelClaim{k: k, member: m.Ref, taken: w.m.today, due: due, state: ClaimTaken}
}

func (w *walk) giveUp() {
	if len(w.m.claims) == 0 {
		return
	}
	m := w.member()
	id := draw(w, "claim", slices.Sorted(maps.Keys(w.m.claims))...)
	c := w.m.claims[id]
	_, err := w.g.GiveUp(w.ctx, m, id)
	var field *trade.FieldError
	w.want(!c.open() || c.member != m.Ref && m.Ref != "lantern", err, &field)
	if err == nil {
		c.state, c.closedOn = ClaimGivenUp, w.m.today
	}
}

func (w *walk) lapse() {
	lapsed, err := w.g.LapseClaims(w.ctx, w.m.today)
	w.want(false, err, nil)
	for _, c := range lapsed {
		if was := w.m.claims[c.ID]; !was.open() || was.due >= w.m.today {
			w.t.Fatalf("lapsed: %+v", was)
		}
	}
	w.m.lapse(nil)
}

func (w *walk) logTest() {
	test := w.test()
	m := w.member()
	var k combinationKey
	test.Combination, k = w.combination()
	test.Tester = m
	bad := rapid.IntRange(0, 5).Draw(w.t, "too late") == 0
	if bad {
		test.WatchedS = test.Seconds - 1
	}
	logged, err := w.g.LogTest(w.ctx, test)
	var field *trade.FieldError
	w.want(bad, err, &field)
	if err == nil {
		w.m.log(logged.ID, modelTest{k, m.Ref, test.Seconds, Kept, 0})
	}
}

func (w *walk) batch() {
	m := w.member()
	key := fmt.Sprint("message ", w.steps)
	if len(w.m.batches) > 0 && rapid.Bool().Draw(w.t, "sent again") {
		key = draw(w, "key", slices.Sorted(maps.Keys(w.m.batches))...)
	}
	var results []BoxResult
	for range rapid.IntRange(1, 4).Draw(w.t, "results") {
		r := BoxResult{Number: rapid.IntRange(1, 5).Draw(w.t, "place"), Test: w.test()}
		if rapid.IntRange(0, 4).Draw(w.t, "bad") == 0 {
			r.Test.WatchedS = 0.5
		}
		results = append(results, r)
	}
	became, err := w.g.LogBatch(w.ctx, m, key, results)
	w.want(false, err, nil)
	text := ""
	for _, o := range became {
		text += fmt.Sprint(o.Number, o.Test.ID, o.Item.ID, o.Problem == nil, "\n")
	}
	if first, sent := w.m.batches[key]; sent {
		if first != text {
			w.t.Fatalf("sent again: %s, at first %s", text, first)
		}
		return
	}
	w.m.batches[key] = text
	w.batchInModel(m.Ref, results, became)
}

// batchInModel logs the results of each syringe that has no bad one.
func (w *walk) batchInModel(tester string, results []BoxResult, became []BoxOutcome) {
	bad := map[int]bool{}
	for _, r := range results {
		bad[r.Number] = bad[r.Number] || r.Test.WatchedS < r.Test.Seconds
	}
	emptied := map[int]bool{}
	for i, r := range results {
		item := w.m.box[r.Number]
		good := item != nil && !bad[r.Number]
		if stored := became[i].Problem == nil; stored != good {
			w.t.Fatalf("result %d: %+v", i, became[i])
		}
		if good {
			emptied[r.Number] = true
			w.m.log(became[i].Test.ID, modelTest{item.k, tester, r.Test.Seconds, Kept, 0})
		}
	}
	for place := range emptied {
		delete(w.m.box, place)
		w.m.rests[place] = w.m.today
	}
}

// sendAgain sends a batch of the day once more by another key: what is logged
// stays logged once.
func (w *walk) sendAgain() {
	var places []BoxResult
	for place, day := range w.m.rests {
		if day == w.m.today && w.m.box[place] == nil {
			places = append(places, BoxResult{Number: place, Test: shown(4)})
		}
	}
	if len(places) == 0 {
		return
	}
	became, err := w.g.LogBatch(w.ctx, w.member(), fmt.Sprint("again ", w.steps), places)
	w.want(false, err, nil)
	for _, o := range became {
		if o.Problem == nil || len(o.Earlier) == 0 {
			w.t.Fatalf("logged again: %+v", o)
		}
	}
}

// remove takes some lines of stock out by number, or none where one is not there.
func (w *walk) remove() {
	items := got(w, w.g.Stock)(w.ctx, StockFilter{})
	if len(items) == 0 {
		return
	}
	var ids []int64
	gone := map[modelStock]bool{}
	for range rapid.IntRange(1, 3).Draw(w.t, "lines") {
		item := draw(w, "line", items...)
		if s := (modelStock{item.Member.Ref, keyOf(item.Combination)}); !gone[s] {
			ids, gone[s] = append(ids, item.ID), true
		}
	}
	bad := rapid.IntRange(0, 3).Draw(w.t, "one is not there") == 0
	if bad {
		ids = append(ids, 99999)
	}
	w.want(bad, w.g.RemoveStock(w.ctx, ids...), ErrNotFound)
	if !bad {
		maps.DeleteFunc(w.m.stock, func(s modelStock, _ string) bool { return gone[s] })
	}
}

// change withdraws, restores or corrects a test.
func (w *walk) change() {
	if len(w.m.tests) == 0 {
		return
	}
	id := draw(w, "test", slices.Sorted(maps.Keys(w.m.tests))...)
	was := w.m.tests[id]
	m := w.member()
	var field *trade.FieldError
	switch draw(w, "change", "withdraw", "restore", "correct") {
	case "withdraw":
		_, err := w.g.WithdrawTest(w.ctx, id, m, "why")
		w.want(was.state == Withdrawn, err, &field)
		was.state = Withdrawn
	case "restore":
		_, err := w.g.RestoreTest(w.ctx, id, m, "why")
		w.want(was.state == Kept, err, &field)
		if was.state == Kept {
			return
		}
		was.state = Kept
		if by := w.m.standIn(id); by != 0 { // one trial counts once
			w.m.tests[by].state = Withdrawn
			w.correctInModel(by, id, *was)
		}
	case "correct":
		test := w.test()
		var k combinationKey
		test.Combination, k = w.combination()
		test.Tester = m
		logged, err := w.g.CorrectTest(w.ctx, id, test, m, "why")
		w.want(was.state == Withdrawn, err, &field)
		if err != nil {
			return
		}
		was.state = Withdrawn
		w.correctInModel(id, logged.ID, modelTest{k, m.Ref, test.Seconds, Kept, id})
	}
}

// correctInModel puts a test in another's place: credit follows within the same
// combination, a test of another one closes the claim on that.
func (w *walk) correctInModel(id, by int64, test modelTest) {
	if test.k != w.m.tests[id].k {
		w.m.log(by, test)
		return
	}
	w.m.tests[by] = &test
	for _, c := range w.m.claims {
		if c.closedBy == id {
			c.closedBy = by
		}
	}
}

// standIn is the test that counts in place of another, 0 for none.
func (m *model) standIn(id int64) int64 {
	for other, t := range m.tests {
		if t.corrects != id {
			continue
		}
		if t.state == Kept {
			return other
		}
		if later := m.standIn(other); later != 0 {
			return later
		}
	}
	return 0
}

func (w *walk) merge() {
	askedFrom, from := w.product()
	askedInto, into := w.product()
	_, err := w.g.MergeProducts(w.ctx, askedFrom, askedInto, w.member(), "why")
	var field *trade.FieldError
	w.want(from == into, err, &field)
	if err == nil {
		w.m.merge(from, into)
		w.merges++
	}
}

func (w *walk) rename() {
	asked, now := w.product()
	name := draw(w, "name", "gel a", "gel b", "gel c", "gel d", "gel e")
	_, err := w.g.RenameProduct(w.ctx, asked, name, w.member(), "why")
	w.want(w.m.takenName(name, now), err, ErrDuplicate)
	if err != nil {
		return
	}
	names := slices.DeleteFunc(slices.Clone(w.m.names[now]), func(n string) bool { return n == name })
	w.m.names[now] = append([]string{name}, names...)
}

func (w *walk) addAlias() {
	asked, now := w.product()
	name := draw(w, "name", "gel a", "gel d", "gel f", "gel g")
	_, err := w.g.AddAlias(w.ctx, asked, name, w.member())
	w.want(w.m.takenName(name, now), err, ErrDuplicate)
	if err == nil && !slices.Contains(w.m.names[now], name) {
		w.m.names[now] = append(w.m.names[now], name)
	}
}

func (w *walk) nextDay() {
	days := rapid.IntRange(1, 8).Draw(w.t, "days")
	w.clock.set(w.clock.read().AddDate(0, 0, days))
	w.m.today = dayAfter(w.m.today, days)
}
