package knowledge

import "holdbench/internal/trade"

// fileNames are what the names in a file of tests or of stock stand for. A file is written
// with the members alone.
type fileNames struct {
	members *memberNames
	v       *Vocabulary
}

func memberColumn[T any](names fileNames, member func(*T) *Member) column[T] {
	return column[T]{name: "member", write: func(t *T) string { return names.members.write(*member(t)) },
		read: func(t *T, cell string) error {
			m, ok := names.members.find(cell)
			if !ok {
				return trade.Refuse("member", "no member goes by %q, or more than one does", cell)
			}
			*member(t) = m
			return nil
		}}
}

func productColumn[T any](names fileNames, combination func(*T) *trade.Combination) column[T] {
	find := once(func(cell string) (trade.Product, error) {
		p, ok := names.v.Product(cell)
		if !ok {
			return p, trade.Refuse("product", "%q is not on the list of products", cell)
		}
		return p, nil
	})
	return column[T]{name: "product", write: func(t *T) string { return combination(t).Product.Name },
		read: func(t *T, cell string) (err error) {
			combination(t).Product, err = find(cell)
			return err
		}}
}

// instrumentColumn: a blank cell is the zero Instrument.
func instrumentColumn[T any](names fileNames, combination func(*T) *trade.Combination) column[T] {
	find := once(func(cell string) (trade.Instrument, error) {
		i, err := trade.ReadInstrument(cell)
		if err != nil {
			return i, err
		}
		return names.v.placeInstrument(i)
	})
	return column[T]{name: "instrument",
		write: func(t *T) string {
			if i := combination(t).Instrument; i != (trade.Instrument{}) {
				return i.Name()
			}
			return ""
		},
		read: func(t *T, cell string) (err error) {
			if cell != "" {
				combination(t).Instrument, err = find(cell)
			}
			return err
		}}
}

// syringeColumn: a blank cell is the supplied syringe.
func syringeColumn[T any](names fileNames, combination func(*T) *trade.Combination) column[T] {
	find := once(func(cell string) (trade.Syringe, error) {
		s, ok := names.v.Syringe(cell)
		if ok {
			return s, nil
		}
		s, err := trade.ReadSyringe(cell)
		if err != nil {
			return s, err
		}
		c, err := names.v.placeSyringe(trade.Combination{Syringe: s})
		return c.Syringe, err
	})
	return column[T]{name: "syringe", optional: true,
		write: func(t *T) string { return combination(t).Syringe.Name },
		read: func(t *T, cell string) (err error) {
			combination(t).Syringe, err = find(cell)
			return err
		}}
}

// once reads each text a single time: a file has the same names again and again.
func once[V any](read func(string) (V, error)) func(string) (V, error) {
	known := make(map[string]V)
	return func(text string) (V, error) {
		if v, ok := known[text]; ok {
			return v, nil
		}
		v, err := read(text)
		if err == nil {
			known[text] = v
		}
		return v, err
	}
}
