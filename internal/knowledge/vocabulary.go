package knowledge

import (
	"context"
	"database/sql"
	"fmt"

	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// Vocabulary is every name that a community uses. Callers share one copy per version and must
// not change it.
type Vocabulary struct {
	Version     int64 // rises with every change of a name
	Products    []trade.Product
	Instruments []trade.Instrument
	Syringes    []trade.Syringe

	merged         map[int64]int64 // a product that was merged into another → that other
	productByID    map[int64]int   // index into Products; a merged product has the index of the other
	productByKey   map[string]int
	instrumentByID map[int64]int
	instrumentKey  map[string]int
	syringeByID    map[int64]int
	syringeByKey   map[string]int
}

// Product returns the product with that name or alias, letter case and spacing ignored.
func (v *Vocabulary) Product(name string) (trade.Product, bool) {
	return pick(v.Products, v.productByKey, trade.Fold(name))
}

// Instrument returns the listed instrument that goes by the same name as i.
// Where i says no wall class and only other walls are listed, there is none.
func (v *Vocabulary) Instrument(i trade.Instrument) (trade.Instrument, bool) {
	return pick(v.Instruments, v.instrumentKey, instrumentKey(i))
}

// Syringe returns the syringe with that name, spelling forgiven.
func (v *Vocabulary) Syringe(name string) (trade.Syringe, bool) {
	if s, ok := pick(v.Syringes, v.syringeByKey, trade.Fold(name)); ok {
		return s, true
	}
	s, err := trade.ReadSyringe(name)
	if err != nil {
		return trade.Syringe{}, false
	}
	return pick(v.Syringes, v.syringeByKey, trade.Fold(s.Name))
}

func pick[T any, K comparable](list []T, index map[K]int, key K) (found T, ok bool) {
	i, ok := index[key]
	if ok {
		found = list[i]
	}
	return found, ok
}

// place finds a combination on the lists. The product must be there; an instrument or syringe
// that is not keeps the row 0 and must be a possible one. A row counts before a name; one of
// another community is ErrNotFound.
func (v *Vocabulary) place(c trade.Combination) (trade.Combination, error) {
	c, err := v.placeProduct(c)
	if err != nil {
		return trade.Combination{}, err
	}
	if c.Instrument, err = v.placeInstrument(c.Instrument); err != nil {
		return trade.Combination{}, err
	}
	return v.placeSyringe(c)
}

func (v *Vocabulary) placeInstrument(i trade.Instrument) (trade.Instrument, error) {
	if i.ID != 0 {
		listed, ok := pick(v.Instruments, v.instrumentByID, i.ID)
		if !ok {
			return trade.Instrument{}, notFound("needle or cannula")
		}
		return listed, nil
	}
	if listed, ok := v.Instrument(i); ok {
		return listed, nil
	}
	i = i.Filled()
	return i, i.Validate()
}

func (v *Vocabulary) placeProduct(c trade.Combination) (trade.Combination, error) {
	p, ok := v.Product(c.Product.Name)
	if c.Product.ID != 0 {
		p, ok = pick(v.Products, v.productByID, c.Product.ID)
	}
	if !ok {
		return trade.Combination{}, notFound("product")
	}
	c.Product = p
	return c, nil
}

func (v *Vocabulary) placeSyringe(c trade.Combination) (trade.Combination, error) {
	if c.Syringe.ID != 0 {
		s, ok := pick(v.Syringes, v.syringeByID, c.Syringe.ID)
		if !ok {
			return trade.Combination{}, notFound("syringe")
		}
		c.Syringe = s
		return c, nil
	}
	c.Syringe = c.Syringe.Filled()
	if s, ok := v.Syringe(c.Syringe.Name); ok {
		c.Syringe = s
		return c, nil
	}
	return c, c.Syringe.Validate()
}

// Vocabulary returns every name that the community uses. It reads them again only when one has
// changed.
func (g *Group) Vocabulary(ctx context.Context) (v *Vocabulary, err error) {
	defer wrap(&err, "vocabulary")
	version, err := g.vocabularyVersion(ctx, g.store.look())
	if err != nil {
		return nil, err
	}
	if v, ok := g.store.vocabularies.Get(g.id); ok && v.Version == version {
		return v, nil
	}
	err = g.store.snapshot(ctx, func(q querier) error {
		v, err = g.vocabulary(ctx, q)
		return err
	})
	return v, err
}

func (g *Group) vocabularyVersion(ctx context.Context, q querier) (version int64, err error) {
	err = q.Row(ctx, `SELECT vocabulary_version FROM communities WHERE id = ?`, g.id).Scan(&version)
	return version, err
}

// vocabulary returns the vocabulary as a transaction sees it. A writing transaction keeps what
// it reads to itself, because it may yet be rolled back.
func (g *Group) vocabulary(ctx context.Context, q querier) (*Vocabulary, error) {
	version, err := g.vocabularyVersion(ctx, q)
	if err != nil {
		return nil, err
	}
	cache := g.store.vocabularies
	if v, ok := cache.Get(g.id); ok && v.Version == version {
		return v, nil
	}
	if q.own != nil {
		cache = q.own
	}
	if v, ok := cache.Get(g.id); ok && v.Version == version {
		return v, nil
	}
	v := &Vocabulary{Version: version}
	if err := g.readVocabulary(ctx, q, v); err != nil {
		return nil, err
	}
	v.index()
	cache.Put(g.id, v)
	return v, nil
}

func (g *Group) readVocabulary(ctx context.Context, q querier, v *Vocabulary) (err error) {
	if v.Products, err = g.readProducts(ctx, q); err != nil {
		return err
	}
	if v.merged, err = g.readMerged(ctx, q); err != nil {
		return err
	}
	v.Instruments, err = database.Collect(ctx, q, func(rows *sql.Rows, i *trade.Instrument) error {
		return rows.Scan(&i.ID, &i.Number, &i.Kind, &i.Gauge, &i.LengthMM, &i.Wall, &i.BoreMM, &i.HubMM, &i.RetiredOn)
	}, `
		SELECT id, number, kind, gauge, length_mm, wall, bore_mm, hub_mm, retired_on
		FROM instruments WHERE community_id = ? ORDER BY id`, g.id)
	if err != nil {
		return err
	}
	v.Syringes, err = database.Collect(ctx, q, func(rows *sql.Rows, s *trade.Syringe) error {
		return rows.Scan(&s.ID, &s.Number, &s.Name, &s.FixedNeedle, &s.VolumeML, &s.GasML, &s.RetiredOn)
	}, `
		SELECT id, number, name, fixed_needle, volume_ml, gas_ml, retired_on
		FROM syringes WHERE community_id = ? ORDER BY id`, g.id)
	return err
}

// readProducts reads a row per name and puts the names of a product together.
func (g *Group) readProducts(ctx context.Context, q querier) (products []trade.Product, err error) {
	type named struct {
		trade.Product
		position int
	}
	rows, err := database.Collect(ctx, q, func(rows *sql.Rows, n *named) error {
		return rows.Scan(&n.ID, &n.Number, &n.Class, &n.FirstStocked, &n.RetiredOn, &n.Name, &n.position)
	}, `
		SELECT p.id, p.number, p.gel_class, p.first_stocked, p.retired_on, n.name, n.position
		FROM products p
		JOIN product_names n ON n.community_id = p.community_id AND n.product_id = p.id
		WHERE p.community_id = ?
		ORDER BY p.id, n.position`, g.id)
	for _, row := range rows {
		if row.position == 0 {
			products = append(products, row.Product)
			continue
		}
		last := &products[len(products)-1]
		last.Aliases = append(last.Aliases, row.Name)
	}
	return products, err
}

// index builds the look-ups.
func (v *Vocabulary) index() {
	v.productByID, v.productByKey = make(map[int64]int), make(map[string]int)
	for i, p := range v.Products {
		v.productByID[p.ID], v.productByKey[trade.Fold(p.Name)] = i, i
		for _, alias := range p.Aliases {
			v.productByKey[trade.Fold(alias)] = i
		}
	}
	for from, into := range v.merged {
		if i, ok := v.productByID[into]; ok {
			v.productByID[from] = i
		}
	}
	v.instrumentByID, v.instrumentKey = make(map[int64]int), make(map[string]int)
	for i, instrument := range v.Instruments {
		v.instrumentByID[instrument.ID], v.instrumentKey[instrumentKey(instrument)] = i, i
	}
	v.syringeByID, v.syringeByKey = make(map[int64]int), make(map[string]int)
	for i, s := range v.Syringes {
		v.syringeByID[s.ID], v.syringeByKey[trade.Fold(s.Name)] = i, i
	}
}

// bumpVocabulary records that a name has changed.
func (g *Group) bumpVocabulary(ctx context.Context, q querier) error {
	_, err := q.Exec(ctx, `
		UPDATE communities SET vocabulary_version = vocabulary_version + 1
		WHERE id = ?`, g.id)
	return err
}

// notFound is ErrNotFound with what was looked for.
func notFound(what string) error { return fmt.Errorf("%s: %w", what, ErrNotFound) }
