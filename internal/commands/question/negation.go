package question

// negators turn round what follows them, with nothing but fillers between.
var (
	negators        = list("negators")
	negationFillers = list("negation fillers")
	allBut          = list("all but") // … but Orrick Firm
)

// denyWords say of two things which one is not meant. After one of the open words they
// do not: "why not a cannula", "if not Orrick Firm".
var (
	denyWords  = list("deny words")
	openBefore = list("open before")
)

// negatedAt reports whether token i stands under a "not".
func (s *scan) negatedAt(i int) bool {
	j := s.negatorOf(i)
	if s.word(j) == "but" {
		return allBut[s.text(j-1)]
	}
	return negators[s.word(j)]
}

// deniedFrom returns where a plain "not this one" that ends before token i begins, or -1.
func (s *scan) deniedFrom(i int) int {
	j := s.negatorOf(i)
	if !denyWords[s.word(j)] || openBefore[s.text(j-1)] {
		return -1
	}
	return j
}

// negatorOf returns the token before i, fillers passed over, that may turn it round.
func (s *scan) negatorOf(i int) int {
	j := i - 1
	for n := 0; n < 4 && s.has(j) && (negationFillers[s.text(j)] && !negators[s.text(j)] ||
		s.roles[j] != free && s.roles[j] == s.roles[i]); n++ {
		j--
	}
	return j
}

// checkNegation notes whether a gauge, a length, a kind, a wall or a syringe
// stands under a "not".
func (s *scan) checkNegation() {
	denied := map[bool]bool{} // by whether it is the cannula
	for i, r := range s.roles {
		if i > 0 && s.roles[i-1] == r || !s.negatedAt(i) {
			continue
		}
		switch {
		case r == syringed:
			s.syringe.negated, s.syringe.fixed = true, false
		case r == kinded && (s.deniedFrom(i) >= 0 || s.kinds.needle && s.kinds.cannula && !s.kinds.asked):
			denied[s.isCannulaAt(i)] = true
		case r == measured && s.isSize(i), r == kinded, r == walled:
			s.negated = true
		}
	}
	switch {
	case denied[true] && denied[false] || s.kinds.asked && (denied[true] || denied[false]):
		s.negated = true
	case denied[true]:
		s.kinds.needle, s.kinds.cannula = true, false
	case denied[false]:
		s.kinds.needle, s.kinds.cannula = false, true
	}
}

// isCannulaAt reports which kind the kind word at i names.
func (s *scan) isCannulaAt(i int) bool { return s.text(i) == "blunt" || isCannula(s.text(i)) }

// isSize reports whether token i belongs to a gauge or a length.
func (s *scan) isSize(i int) bool {
	q, ok := s.quantityWith(i)
	return ok && isSize(q)
}
