package question

// dilute returns the products that m names, given what the text says about
// dilution. Nothing said: the product whose name says nothing either.
func (s *scan) dilute(m nameMatch) []int32 {
	if s.dilution.stated() {
		return s.narrowTo(m.products)
	}
	fits := m.products
	if m.names != nil {
		fits = nil
	}
	for _, id := range m.names {
		if n := s.ix.names[id]; !n.dilution.stated() {
			fits = addOnce(fits, n.product)
		}
	}
	return s.unlessDiluted(fits)
}

// unlessDiluted drops diluted products where undiluted ones are left: with
// nothing said about dilution, the gel as sold is meant.
func (s *scan) unlessDiluted(products []int32) []int32 {
	return anyOf(having(products, func(p int32) bool { return !s.ix.facts[p].diluted }), products)
}

// anyOf is the first of two lists that has anything.
func anyOf(first, second []int32) []int32 {
	if len(first) > 0 {
		return first
	}
	return second
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
	return anyOf(s.narrowTo(products), products)
}

// family returns all products that the matches can stand for, whatever the
// text says about dilution.
func (s *scan) family(full []nameMatch) []int32 {
	var all []int32
	for _, m := range full {
		all = addOnce(all, m.products...)
	}
	return all
}

// withSiblings adds the products whose names begin with the same word.
func (s *scan) withSiblings(products []int32) []int32 {
	all := append([]int32(nil), products...)
	for _, p := range products {
		if entry := s.ix.words[s.ix.facts[p].head]; entry != nil {
			all = addOnce(all, entry.heads...)
		}
	}
	return all
}
