package question

// dilute returns the products that m names, given what the text says about
// dilution. Nothing said: the product whose name says nothing either.
func (s *scan) dilute(m mention) []int32 {
	var fits []int32
	for _, id := range m.names {
		n := s.ix.names[id]
		if !s.dilution.stated() && n.dilution.stated() {
			continue
		}
		fits = addOnce(fits, n.product)
	}
	if m.names == nil {
		fits = m.products
	}
	if !s.dilution.stated() {
		return s.unlessDiluted(fits)
	}
	return s.narrowTo(m.products)
}

// unlessDiluted drops diluted products where undiluted ones are left: with
// nothing said about dilution, the gel as sold is meant.
func (s *scan) unlessDiluted(products []int32) []int32 {
	kept := having(products, func(p int32) bool { return !s.ix.facts[p].diluted })
	if len(kept) == 0 {
		return products
	}
	return kept
}

// narrowTo returns the products that are diluted as the text says.
func (s *scan) narrowTo(products []int32) []int32 { return having(products, s.dilutedAsSaid) }

// dilutedAsSaid reports whether product p is diluted as the text says. A
// ratio must be one that the product's names state.
func (s *scan) dilutedAsSaid(p int32) bool {
	facts := s.ix.facts[p]
	if s.dilution.neat {
		return !facts.diluted
	}
	if !facts.diluted || s.dilution.ratios == 0 {
		return facts.diluted
	}
	return facts.ratio > 0 && sameVolume(facts.ratio, s.dilution.ratio)
}

// narrow keeps the products that are diluted as the text says, or all of them
// where none is.
func (s *scan) narrow(products []int32) []int32 {
	if !s.dilution.stated() || s.dilution.clash() {
		return products
	}
	if kept := s.narrowTo(products); len(kept) > 0 {
		return kept
	}
	return products
}

// family returns all products that the mentions can stand for, whatever the
// text says about dilution.
func (s *scan) family(full []mention) []int32 {
	var all []int32
	for _, m := range full {
		for _, p := range m.products {
			all = addOnce(all, p)
		}
	}
	return all
}

// withSiblings adds the products whose names begin with the same word.
func (s *scan) withSiblings(products []int32) []int32 {
	all := append([]int32(nil), products...)
	for _, p := range products {
		if entry := s.ix.words[s.ix.facts[p].head]; entry != nil {
			for _, sibling := range entry.heads {
				all = addOnce(all, sibling)
			}
		}
	}
	return all
}
