package question

// dilute returns the products that m names in the dilution that the text says. If it says none, these are the ones
// whose names say none.
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
	return anyOf(s.undiluted(fits), fits) // the gel as it is sold is meant
}

// undiluted are those of the products that are not diluted.
func (s *scan) undiluted(products []int32) []int32 {
	return having(products, func(p int32) bool { return !s.ix.facts[p].diluted })
}

// anyOf is the first list, or the second if that is empty.
func anyOf(first, second []int32) []int32 {
	if len(first) > 0 {
		return first
	}
	return second
}

// narrowTo returns the products that are diluted as the text says.
func (s *scan) narrowTo(products []int32) []int32 { return having(products, s.dilutedAsSaid) }

// dilutedAsSaid reports whether product p is diluted as the text says. A ratio has to be in one of the product's names.
func (s *scan) dilutedAsSaid(p int32) bool {
	facts := s.ix.facts[p]
	if s.dilution.neat {
		return !facts.diluted
	}
	if !facts.diluted || s.dilution.ratios == 0 {
		return facts.diluted
	}
	return sameVolume(facts.ratio, s.dilution.ratio)
}

// narrow keeps the products that are diluted as the text says, or all if none is.
func (s *scan) narrow(products []int32) []int32 {
	if !s.dilution.stated() || s.dilution.clash() {
		return products
	}
	return anyOf(s.narrowTo(products), products)
}

// family returns all products that the matches can stand for, in any dilution.
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
